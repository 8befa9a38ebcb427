"""Plain shapes on a sheet, in pixels from its top left, with colours by meaning: drawn as SVG here, or by matplotlib.

A sheet knows no seconds and no cameras; who lays it out does. Text is shown as it is and escaped for its output.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Literal
from xml.etree import ElementTree

from topo.draw.look import FONT_STACK, LIGHT, Colours
from topo.draw.style import SVG, style
from topo.frozen import frozen, replace
from topo.model.plain import plain

Ink = Literal["paper", "ink", "quiet", "line", "bar", "edge", "imaging", "guiding", "trouble", "on_trouble", ""]
"""A colour by its meaning; none where it is empty."""

PAGE_CLASS = "art"
"""The class of pictures in a page, whose style sheet stands there once."""
HATCH_PX = 7.0
"""From one line of a hatch to the next."""
DASHES = {"": "", "dashed": "4 3", "dotted": "1.5 4", "planned": "9 4"}


@frozen
class Slab:
    """A rectangle; `edge_px` is the width of its edge."""

    x: float
    y: float
    width: float
    height: float
    fill: Ink = ""
    edge: Ink = ""
    edge_px: float = 1.0
    dashed: bool = False


Dash = Literal["", "dashed", "dotted", "planned"]
"""Dashes of a line: a serial lead is dashed, a 12 V lead dotted, what is still to be plugged in is planned."""


@frozen
class Stroke:
    """A line through points."""

    points: tuple[tuple[float, float], ...]
    ink: Ink = "line"
    width: float = 1.0
    dashed: bool | Dash = False

    @property
    def dash(self) -> str:
        """The lengths of dashes and gaps, as SVG writes them; empty for an unbroken line."""
        return DASHES["dashed" if self.dashed is True else self.dashed or ""]


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
class Cluster:
    """Shapes that belong to one part or wire. `key` is its key in the scene, `classes` are for style rules, `title` is
    seen where a pointer rests, `ends` are the keys of what a wire joins."""

    shapes: tuple[Slab | Stroke | Words, ...]
    key: str = ""
    classes: str = ""
    title: str = ""
    ends: tuple[str, str] | None = None


Shape = Slab | Stroke | Words | Cluster


@frozen
class Sheet:
    """Shapes from the back to the front, and what they show in words, for those who hear a picture."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    title: str
    told: str

    @property
    def flat(self) -> tuple[Slab | Stroke | Words, ...]:
        """The shapes without their groups."""
        return tuple(shape for each in self.shapes for shape in (each.shapes if isinstance(each, Cluster) else (each,)))


def stacked(sheets: Sequence[Sheet], gap: float = 16.0) -> Sheet:
    """Sheets beneath each other as one; the first gives the title."""
    shapes: list[Shape] = []
    top = 0.0
    for sheet in sheets:
        shapes += [moved(shape, 0.0, top) for shape in sheet.shapes]
        top += sheet.height + gap
    told = " ".join(f"{sheet.title}: {sheet.told}." for sheet in sheets)
    return Sheet(max(sheet.width for sheet in sheets), top - gap, tuple(shapes), sheets[0].title, told)


def reach_of(shape: Shape) -> tuple[float, float]:
    """From where to where a shape goes, top to bottom, and a little more."""
    if isinstance(shape, Cluster):
        ends = [reach_of(each) for each in shape.shapes] or [(0.0, 0.0)]
        return min(low for low, _ in ends), max(high for _, high in ends)
    if isinstance(shape, Words):
        return shape.y - 1.2 * shape.size, shape.y + 0.4 * shape.size
    if isinstance(shape, Slab):
        return shape.y - shape.edge_px, shape.y + shape.height + shape.edge_px
    return min(y for _, y in shape.points) - shape.width, max(y for _, y in shape.points) + shape.width


def moved(shape: Shape, right: float, down: float) -> Shape:
    """The shape so many pixels further."""
    if isinstance(shape, Cluster):
        return replace(shape, shapes=tuple(moved(each, right, down) for each in shape.shapes))  # type: ignore[misc]
    if isinstance(shape, Stroke):
        return replace(shape, points=tuple((x + right, y + down) for x, y in shape.points))
    return replace(shape, x=shape.x + right, y=shape.y + down)


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


def sheet_svg(sheet: Sheet, prefix: str, page: str = "", band: tuple[float, float] | None = None) -> str:
    """A sheet as an `<svg>` element, light and dark; ids start with `prefix`.

    It brings its own style sheet, of a class named as the prefix, and colours for viewers that know none. With `page`
    it brings neither: the page has the style sheet of that class. With `band` it is what lies between two heights;
    the topmost band says what all of them show.
    """
    top, bottom = band or (0.0, sheet.height)
    root = ElementTree.Element("svg", {
        "xmlns": SVG, "viewBox": f"0 {top:g} {sheet.width:g} {bottom - top:g}", "width": f"{sheet.width:g}",
        "height": f"{bottom - top:g}", "role": "img", "class": page or prefix, "font-family": FONT_STACK,
        **({"aria-hidden": "true"} if top else {"aria-labelledby": f"{prefix}-title {prefix}-desc"}),
    })
    if not top:
        ElementTree.SubElement(root, "title", {"id": f"{prefix}-title"}).text = plain(sheet.title, 400)
        ElementTree.SubElement(root, "desc", {"id": f"{prefix}-desc"}).text = plain(sheet.told, 20_000)
    if not page:
        ElementTree.SubElement(root, "style").text = style(prefix)
    colours = None if page else LIGHT
    _add(root, Slab(0.0, top, sheet.width, bottom - top, "paper"), colours)
    for shape in sheet.shapes:
        low, high = reach_of(shape) if band else (top, bottom)
        if high < top or low > bottom:
            continue
        if isinstance(shape, Cluster):
            named = {"id": f"{prefix}-{shape.key}"} if shape.key and top <= max(low, 0.0) < bottom else {}
            group = ElementTree.SubElement(root, "g", named | ({"class": shape.classes} if shape.classes else {}))
            if shape.title:
                ElementTree.SubElement(group, "title").text = shape.title
            for each in shape.shapes:
                low, high = reach_of(each) if band else (top, bottom)
                if low <= bottom and high >= top:
                    _add(group, each, colours)
        else:
            _add(root, shape, colours)
    return ElementTree.tostring(root, encoding="unicode")


def sheet_file(sheet: Sheet, prefix: str = "strip") -> bytes:
    """A sheet as one SVG file that needs nothing else, in UTF-8."""
    text = re.sub(r"(>)(<(?:g|text|title|style|polygon|polyline|rect|/g|/svg)\b)", r"\1\n\2", sheet_svg(sheet, prefix))
    return ('<?xml version="1.0" encoding="UTF-8"?>\n' + text + "\n").encode("utf-8")


def sheet_in(sheet: Sheet, colours: Colours) -> bytes:
    """A sheet as one SVG file in fixed colours, for places that choose between a light and a dark file themselves."""
    root = ElementTree.Element("svg", {
        "xmlns": SVG, "viewBox": f"0 0 {sheet.width:g} {sheet.height:g}", "width": f"{sheet.width:g}",
        "height": f"{sheet.height:g}", "role": "img", "font-family": FONT_STACK,
    })
    ElementTree.SubElement(root, "title").text = plain(sheet.title, 400)
    ElementTree.SubElement(root, "desc").text = plain(sheet.told, 20_000)
    for shape in (Slab(0.0, 0.0, sheet.width, sheet.height, "paper"), *sheet.flat):
        _add(root, shape, colours)
    for element in root.iter():
        element.attrib.pop("class", None)
    return (ElementTree.tostring(root, encoding="unicode").replace("><", ">\n<") + "\n").encode("utf-8")


def _add(root: ElementTree.Element, shape: Slab | Stroke | Words, colours: Colours | None) -> None:
    if isinstance(shape, Slab):
        edge = {"stroke-width": f"{shape.edge_px:g}"} if shape.edge and shape.edge_px != 1.0 else {}
        edge |= {"stroke-dasharray": DASHES["dashed"]} if shape.dashed else {}
        ElementTree.SubElement(root, "rect", {
            "x": _px(shape.x), "y": _px(shape.y), "width": _px(shape.width), "height": _px(shape.height),
            **_ink("fill", shape.fill, colours), **_ink("stroke", shape.edge, colours), **edge,
            **_classes(shape.fill, shape.edge)})
    elif isinstance(shape, Stroke):
        ElementTree.SubElement(root, "polyline", {
            "points": " ".join(f"{_px(x)},{_px(y)}" for x, y in shape.points), "fill": "none",
            **_ink("stroke", shape.ink, colours), "stroke-width": f"{shape.width:g}",
            **({"stroke-dasharray": shape.dash} if shape.dash else {}), **_classes("", shape.ink)})
    else:
        text = ElementTree.SubElement(root, "text", {
            "x": _px(shape.x), "y": _px(shape.y), "font-size": f"{shape.size:g}",
            **({"text-anchor": shape.anchor} if shape.anchor != "start" else {}),
            **({"font-weight": "bold"} if shape.bold else {}), **_ink("fill", shape.ink, colours),
            **_classes(shape.ink, "")})
        text.text = plain(shape.text, 400)


def _ink(name: str, ink: Ink, colours: Colours | None) -> dict[str, str]:
    """The colour as an attribute, for viewers that know no style sheet; none where the page has one."""
    if colours is None:
        return {} if ink or name == "stroke" else {name: "none"}
    return {name: getattr(colours, ink) if ink else "none"}


def _classes(fill: Ink, edge: Ink) -> dict[str, str]:
    marks = [f"{letter}-{ink}" for letter, ink in (("f", fill), ("s", edge)) if ink]
    return {"class": " ".join(marks)} if marks else {}


def _px(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
