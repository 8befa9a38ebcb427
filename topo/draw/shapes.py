"""Plain shapes on a sheet, in pixels from its top left, with colours by meaning: drawn as SVG here, or by matplotlib.

A sheet knows no seconds and no cameras; who lays it out does. Text is shown as it is and escaped for its output.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal
from xml.etree import ElementTree

from topo.draw.look import FONT_STACK, LIGHT
from topo.draw.svg import SVG, style
from topo.frozen import frozen
from topo.model.plain import plain

Ink = Literal["paper", "ink", "quiet", "line", "bar", "edge", "imaging", "guiding", "trouble", "on_trouble", ""]
"""A colour by its meaning; none where it is empty."""

HATCH_PX = 7.0
"""From one line of a hatch to the next."""


@frozen
class Slab:
    """A rectangle."""

    x: float
    y: float
    width: float
    height: float
    fill: Ink = ""
    edge: Ink = ""


@frozen
class Stroke:
    """A line through points."""

    points: tuple[tuple[float, float], ...]
    ink: Ink = "line"
    width: float = 1.0
    dashed: bool = False


@frozen
class Words:
    """A line of text; `y` is its base line."""

    x: float
    y: float
    text: str
    size: float = 12.0
    ink: Ink = "ink"
    anchor: Literal["start", "middle", "end"] = "start"
    bold: bool = False


@frozen
class Sheet:
    """Shapes from the back to the front, and what they show in words, for those who hear a picture."""

    width: float
    height: float
    shapes: tuple[Slab | Stroke | Words, ...]
    title: str
    told: str


def stacked(sheets: Sequence[Sheet], gap: float = 16.0) -> Sheet:
    """Sheets beneath each other as one; the first gives the title."""
    shapes: list[Slab | Stroke | Words] = []
    top = 0.0
    for sheet in sheets:
        shapes += [_lower(shape, top) for shape in sheet.shapes]
        top += sheet.height + gap
    told = " ".join(f"{sheet.title}: {sheet.told}." for sheet in sheets)
    return Sheet(max(sheet.width for sheet in sheets), top - gap, tuple(shapes), sheets[0].title, told)


def _lower(shape: Slab | Stroke | Words, by: float) -> Slab | Stroke | Words:
    if isinstance(shape, Stroke):
        return replace(shape, points=tuple((x, y + by) for x, y in shape.points))
    return replace(shape, y=shape.y + by)


def hatched(x: float, y: float, width: float, height: float, ink: Ink) -> Iterator[Stroke]:
    """Slanted lines that fill a rectangle, and its edge. Hatching shows where colour does not."""
    if width <= 0.0:
        return
    at = x - height + HATCH_PX
    while at < x + width:
        low, high = max(at, x), min(at + height, x + width)
        if high > low:
            yield Stroke(((low, y + height - (low - at)), (high, y + height - (high - at))), ink, 1.2)
        at += HATCH_PX
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y))
    yield Stroke(corners, ink, 1.2)


def sheet_svg(sheet: Sheet, prefix: str) -> str:
    """A sheet as an `<svg>` element, light and dark; ids and classes start with `prefix`."""
    root = ElementTree.Element("svg", {
        "xmlns": SVG, "viewBox": f"0 0 {sheet.width:g} {sheet.height:g}", "width": f"{sheet.width:g}",
        "height": f"{sheet.height:g}", "role": "img", "class": prefix, "font-family": FONT_STACK,
        "aria-labelledby": f"{prefix}-title {prefix}-desc",
    })
    ElementTree.SubElement(root, "title", {"id": f"{prefix}-title"}).text = plain(sheet.title, 400)
    ElementTree.SubElement(root, "desc", {"id": f"{prefix}-desc"}).text = plain(sheet.told, 2000)
    ElementTree.SubElement(root, "style").text = style(prefix)
    paper = Slab(0.0, 0.0, sheet.width, sheet.height, "paper")
    for shape in (paper, *sheet.shapes):
        _add(root, shape)
    ElementTree.indent(root, space=" ")
    return ElementTree.tostring(root, encoding="unicode")


def sheet_file(sheet: Sheet) -> bytes:
    """A sheet as one SVG file that needs nothing else, in UTF-8."""
    return ('<?xml version="1.0" encoding="UTF-8"?>\n' + sheet_svg(sheet, "strip") + "\n").encode("utf-8")


def _add(root: ElementTree.Element, shape: Slab | Stroke | Words) -> None:
    if isinstance(shape, Slab):
        ElementTree.SubElement(root, "polygon", {"points": _points((
            (shape.x, shape.y), (shape.x + shape.width, shape.y),
            (shape.x + shape.width, shape.y + shape.height), (shape.x, shape.y + shape.height))),
            **_ink("fill", shape.fill), **_ink("stroke", shape.edge), **_classes(shape.fill, shape.edge)})
    elif isinstance(shape, Stroke):
        ElementTree.SubElement(root, "polyline", {
            "points": _points(shape.points), "fill": "none", **_ink("stroke", shape.ink),
            "stroke-width": f"{shape.width:g}", **({"stroke-dasharray": "4 3"} if shape.dashed else {}),
            **_classes("", shape.ink)})
    else:
        text = ElementTree.SubElement(root, "text", {
            "x": f"{shape.x:.1f}", "y": f"{shape.y:.1f}", "font-size": f"{shape.size:g}", "text-anchor": shape.anchor,
            **({"font-weight": "bold"} if shape.bold else {}), **_ink("fill", shape.ink), **_classes(shape.ink, "")})
        text.text = plain(shape.text, 400)


def _ink(name: str, ink: Ink) -> dict[str, str]:
    """The light colour as an attribute, for viewers that know no style sheet."""
    return {name: getattr(LIGHT, ink) if ink else "none"}


def _classes(fill: Ink, edge: Ink) -> dict[str, str]:
    marks = [f"{letter}-{ink}" for letter, ink in (("f", fill), ("s", edge)) if ink]
    return {"class": " ".join(marks)} if marks else {}


def _points(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
