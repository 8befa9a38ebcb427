"""Blocks of text: what a node, a wire and a caption say, broken into rows that fit. No places and no colours."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal

from topo.draw.look import NAME_SIZE, TEXT_SIZE
from topo.draw.metrics import shortened, text_width, wrapped
from topo.draw.scene import Mark, Node, Wire
from topo.draw.words import joined
from topo.frozen import frozen

RunStyle = Literal["name", "plain-name", "role", "text", "ink", "filled", "outlined", "quiet-tag", "meter", "gap"]

TAGS = ("filled", "outlined", "quiet-tag")
METER = 46.0
"""Width of the little meter that shows a load."""
RINGS = 20.0
"""Room at the start of a wire for the rings of imaging and guiding."""
_HEIGHT = {"name": 17.0, "plain-name": 16.0, "role": 15.0, "text": 14.0, "ink": 14.0, "meter": 7.0, "gap": 6.0}
MARK_STYLE: dict[str, RunStyle] = {
    "meet": "filled", "fault": "filled", "missing": "filled", "slower": "filled",
    "limit": "outlined", "risk": "outlined", "moved": "outlined", "unexpected": "outlined",
    "beside": "quiet-tag", "note": "quiet-tag",
}
"""Filled: it does harm tonight. Outlined: it may. The rest is worth knowing."""


@frozen
class Row:
    """One line: runs of text, each with its style. A tag may hold several lines; a meter's text is its share."""

    runs: tuple[tuple[RunStyle, str], ...]

    @property
    def height(self) -> float:
        """Height in pixels."""
        return max(tag_height(text) if style in TAGS else _HEIGHT[style] for style, text in self.runs)


@frozen
class WireTexts:
    """Lines above a wire, tags on it, lines below; `half` is the room it takes on each side."""

    above: tuple[str, ...]
    tags: tuple[Row, ...]
    below: tuple[str, ...]
    half: float


def tag_height(text: str) -> float:
    """Height of a tag with its gap, in pixels."""
    return 14.0 * (text.count("\n") + 1) + 5.0


def tag_width(text: str, style: str) -> float:
    """Width of a tag, in pixels."""
    return max(text_width(line, TEXT_SIZE, bold=style != "quiet-tag") for line in text.split("\n")) + 8


def block_height(rows: Iterable[Row]) -> float:
    """Height of rows on top of each other."""
    return math.fsum(row.height for row in rows)


def node_rows(node: Node, width: float, beside: bool) -> tuple[Row, ...]:
    """A node's name, role, figures and marks. With `beside` the role stands on the line of the name if it fits."""
    style: RunStyle = "plain-name" if node.kind == "again" else "name"
    bold = style == "name"
    name = wrapped(node.name, width, NAME_SIZE, bold)
    rows = [Row(((style, line),)) for line in name]
    if node.role in ("imaging", "guiding") or (node.role not in ("", "other") and node.role not in node.name):
        used = text_width(name[-1], NAME_SIZE, bold) if name else width
        if name and beside and used + text_width("  " + node.role, TEXT_SIZE) <= width:
            rows[-1] = Row(((style, name[-1]), ("role", node.role)))
        else:
            rows.append(Row((("role", node.role),)))
    figures = [joined(*node.lines)] if beside else node.lines
    rows += [Row((("text", line),)) for text in figures for line in wrapped(text, width, TEXT_SIZE)]
    for load in node.loads:
        rows += [Row((("text", line),)) for line in wrapped(load.text, width, TEXT_SIZE)]
        rows.append(Row((("meter", f"{load.share:.3f}"),)))
    return (*rows, *tag_rows(node.marks, width))


def tag_rows(marks: Iterable[Mark], width: float) -> tuple[Row, ...]:
    """A row for each mark, a tag of as many lines as it needs."""
    return tuple(Row(((MARK_STYLE[mark.kind], "\n".join(wrapped(mark.text, width - 8, TEXT_SIZE, bold=True))),))
                 for mark in marks)


def wire_texts(wire: Wire, width: float) -> WireTexts:
    """What stands on a wire, within `width`: the speed above, length and load below, tags in the middle."""
    load = wire.load.text if wire.load else wire.note
    above, below = wire.speed, joined(wire.length, load)
    if load and text_width(below, TEXT_SIZE) > width and text_width(joined(above, wire.length), TEXT_SIZE) <= width:
        above, below = joined(above, wire.length), load
    parts = (below,) if text_width(below, TEXT_SIZE) <= width else (wire.length, load)
    upper, lower = wrapped(above, width, TEXT_SIZE), tuple(
        line for part in parts for line in wrapped(part, width, TEXT_SIZE))
    tags = tag_rows(wire.marks, width - RINGS)
    middle = block_height(tags) + 2 if tags else 10.0
    meter = 7.0 if wire.load else 0.0
    return WireTexts(upper, tags, lower, max(len(upper) * 14.0, len(lower) * 14.0 + meter) + middle / 2)


def socket_width(names: Iterable[str]) -> float:
    """The width a strip of socket names takes, at most 66 pixels."""
    return min(66.0, max((text_width(name, TEXT_SIZE) + 8 for name in names), default=0.0))


def socket_label(name: str, width: float) -> str:
    """A socket's name cut to fit its strip."""
    return shortened(name, width - 4, TEXT_SIZE)
