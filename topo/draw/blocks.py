"""Blocks of text: what a node, a wire and a caption say, broken into rows that fit. No places and no colours."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal

from topo.draw.look import FIGURE_SIZE, NAME_SIZE, TEXT_SIZE
from topo.draw.metrics import shortened, text_width, wrapped
from topo.draw.scene import Load, Mark, Node, Wire
from topo.draw.words import joined
from topo.frozen import frozen

RunStyle = Literal["figure", "name", "plain-name", "role", "text", "ink", "filled", "outlined", "do", "note", "meter",
                   "loud-meter", "gap"]

TAGS = ("filled", "outlined", "do")
METERS = ("meter", "loud-meter")
METER = 46.0
"""Width of the little meter that shows what is free of a link."""
NARROW = 150.0
"""Where text has less room than this, notes are told by their numbers alone."""
RINGS = 20.0
"""Room at the start of a wire for the rings of imaging and guiding."""
SIZES: dict[str, int] = {"figure": FIGURE_SIZE, "name": NAME_SIZE, "plain-name": NAME_SIZE}
"""Sizes of text by style; all else is small."""
BOLD = ("figure", "name", "filled", "outlined", "do")
_HEIGHT = {"figure": 28.0, "name": 17.0, "plain-name": 17.0, "role": 15.0, "text": 14.0, "ink": 14.0, "note": 14.0,
           "meter": 9.0, "loud-meter": 9.0, "gap": 6.0}
MARK_STYLE: dict[str, RunStyle] = {
    "meet": "filled", "fault": "filled", "missing": "filled", "slower": "filled",
    "risk": "outlined", "moved": "outlined", "unexpected": "outlined",
    "do": "do", "limit": "note", "beside": "note", "note": "note",
}
"""Filled: it does harm tonight. Outlined: it may. Dashed: what to do. Plain words are worth knowing, and no more."""


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


def run_width(style: RunStyle, text: str) -> float:
    """Width of a run, in pixels."""
    if style in METERS:
        return METER
    return tag_width(text) if style in TAGS else text_width(text, SIZES.get(style, TEXT_SIZE), style in BOLD)


def tag_height(text: str) -> float:
    """Height of a tag with its gap, in pixels."""
    return 14.0 * (text.count("\n") + 1) + 6.0


def tag_width(text: str) -> float:
    """Width of a tag, in pixels."""
    return max(text_width(line, TEXT_SIZE, bold=True) for line in text.split("\n")) + 8


def block_height(rows: Iterable[Row]) -> float:
    """Height of rows on top of each other."""
    return math.fsum(row.height for row in rows)


def node_rows(node: Node, width: float, beside: bool) -> tuple[Row, ...]:
    """A node's name, role, figures and marks. With `beside` the role stands on the line of the name if it fits."""
    style: RunStyle = "plain-name" if node.kind == "again" or node.tone == "faded" else "name"
    name = wrapped(node.name, width, NAME_SIZE, style in BOLD)
    rows = [Row(((style, line),)) for line in name]
    if node.role in ("imaging", "guiding") or (node.role not in ("", "other") and node.role not in node.name):
        used = text_width(name[-1], NAME_SIZE, style in BOLD) if name else width
        if name and beside and used + text_width("  " + node.role, TEXT_SIZE) <= width:
            rows[-1] = Row(((style, name[-1]), ("role", node.role)))
        else:
            rows.append(Row((("role", node.role),)))
    figures = [joined(*node.lines)] if beside else node.lines
    rows += [Row((("text", line),)) for text in figures for line in wrapped(text, width, TEXT_SIZE)]
    for load in node.loads:
        rows += load_rows(load, width)
    return (*rows, *tag_rows(node.marks, width))


def load_rows(load: Load, width: float) -> list[Row]:
    """What a link has free, and its meter where that says something."""
    rows = [Row((("text", line),)) for line in wrapped(load.text, width, TEXT_SIZE)]
    return [*rows, Row(((meter_style(load), f"{load.share:.3f}"),))] if has_meter(load) else rows


def has_meter(load: Load) -> bool:
    """Whether a meter is drawn: a full one alarms, so only where the first finding says that it is too full."""
    return load.loud or load.share < 0.98


def meter_style(load: Load) -> RunStyle:
    """The style of a load's meter."""
    return "loud-meter" if load.loud else "meter"


def tag_rows(marks: Iterable[Mark], width: float) -> tuple[Row, ...]:
    """A row for each mark, a tag of as many lines as it needs; notes are plain lines."""
    rows: list[Row] = []
    for mark in marks:
        style, text = MARK_STYLE[mark.kind], f"do: {mark.text}" if mark.kind == "do" else mark.text
        if style in TAGS:
            rows.append(Row(((style, "\n".join(wrapped(text, width - 8, TEXT_SIZE, bold=True))),)))
        else:
            text = text.partition(":")[0] if mark.kind == "note" and width < NARROW else text
            rows += [Row(((style, line),)) for line in wrapped(text, width, TEXT_SIZE)]
    return tuple(rows)


def wire_texts(wire: Wire, width: float) -> WireTexts:
    """What stands on a wire, within `width`: the speed above, length and load below, tags in the middle. Where length
    and load are too wide together, the length goes beside the speed, or else above the load."""
    load = wire.load.text if wire.load else wire.note
    above, together = wire.speed, joined(wire.length, load)
    parts: tuple[str, ...] = (together,)
    if text_width(together, TEXT_SIZE) > width:
        beside = joined(above, wire.length)
        fits = load and text_width(beside, TEXT_SIZE) <= width
        above, parts = (beside, (load,)) if fits else (above, (wire.length, load))
    upper, lower = wrapped(above, width, TEXT_SIZE), tuple(
        line for part in parts for line in wrapped(part, width, TEXT_SIZE))
    tags = tag_rows(wire.marks, width - RINGS)
    middle = block_height(tags) + 4 if tags else 14.0 if wire.tone == "loud" else 10.0
    meter = 9.0 if wire.load and has_meter(wire.load) else 0.0
    return WireTexts(upper, tags, lower, max(len(upper) * 14.0, len(lower) * 14.0 + meter) + middle / 2)


def socket_width(names: Iterable[str]) -> float:
    """The width a strip of socket names takes, from 16 to 66 pixels."""
    return min(66.0, max((text_width(name, TEXT_SIZE) + 8 for name in names), default=0.0))


def socket_label(name: str, width: float) -> str:
    """A socket's name cut to fit its strip."""
    return shortened(name, width - 4, TEXT_SIZE)
