"""The scene as SVG: self-contained, light and dark, in shapes of the house. No engine takes part."""

from __future__ import annotations

from topo.draw.layout import place
from topo.draw.paint import painted
from topo.draw.scene import Scene
from topo.draw.shapes import sheet_file, sheet_svg


def render_svg(scene: Scene) -> bytes:
    """The scene as one SVG file that needs nothing else, in UTF-8."""
    return sheet_file(painted(place(scene)), "picture")


def svg_text(scene: Scene, prefix: str) -> str:
    """The scene as an `<svg>` element; ids and classes of the page it may stand in start with `prefix`."""
    return sheet_svg(painted(place(scene)), prefix)
