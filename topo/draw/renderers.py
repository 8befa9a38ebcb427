"""The renderers that ship, as they are handed to the plugin hook."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from topo.model.renderer import Renderer

if TYPE_CHECKING:
    from topo.draw.shapes import Sheet


def renderers() -> tuple[Renderer, ...]:
    """Every renderer of the box. Each imports what it needs when it draws."""
    return (
        Renderer("svg", (".svg",), "a picture for screens, light and dark", _svg),
        Renderer("png", (".png",), "a picture for posts", _png),
        Renderer("pdf", (".pdf",), "a picture for print", _pdf),
        Renderer("dot", (".dot", ".gv"), "the picture as graph text, places included", _dot),
        Renderer("mermaid", (".mmd",), "text for places that draw Mermaid", _mermaid),
        Renderer("text", (".txt",), "the tree as plain text, 80 columns", _text),
    )


SHEETS = (".svg", ".png", ".pdf", ".dot", ".gv")
"""Endings that a sheet of shapes is written to."""


def render_sheet(sheet: Sheet, suffix: str) -> bytes:
    """A sheet that is no scene, such as before and after, as the bytes of a file with one of these endings."""
    from topo.draw.dot import dot_of
    from topo.draw.engine import drawn
    from topo.draw.shapes import sheet_file

    if suffix == ".svg":
        return sheet_file(sheet, "advice")
    if suffix in (".png", ".pdf"):
        return drawn(dot_of(sheet), "png" if suffix == ".png" else "pdf")
    return dot_of(sheet).encode("utf-8")


def _svg(scene: Any) -> bytes:
    from topo.draw.svg import render_svg

    return render_svg(scene)


def _png(scene: Any) -> bytes:
    from topo.draw.dot import dot_text
    from topo.draw.engine import drawn

    return drawn(dot_text(scene), "png")


def _pdf(scene: Any) -> bytes:
    from topo.draw.dot import dot_text
    from topo.draw.engine import drawn

    return drawn(dot_text(scene), "pdf")


def _dot(scene: Any) -> bytes:
    from topo.draw.dot import render_dot

    return render_dot(scene)


def _mermaid(scene: Any) -> bytes:
    from topo.draw.mermaid import render_mermaid

    return render_mermaid(scene)


def _text(scene: Any) -> bytes:
    from topo.draw.tree import plain_text, tree_lines

    return (plain_text(tree_lines(scene, ascii_only=True)) + "\n").encode("utf-8")
