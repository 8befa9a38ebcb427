"""A tall picture in bands that fit a sheet of paper each, cut where nothing is cut through that is read."""

from __future__ import annotations

from collections.abc import Iterator

from topo.draw.shapes import Sheet, Slab, Words

SHEET_HIGH = 700.0
"""Pixels of the tallest band: a sheet of A4 that lies on its side, less its margins, holds 718 of 1/96 inch."""
TALL, SIGN = 160.0, 20.0
"""Strips of sockets at least so tall, and lines taller than a sign, may be cut: they go on on the next sheet."""
LEAST = 0.25
"""Share of a sheet that a band fills at the least; where only less could be kept whole, it is cut through."""

Band = tuple[float, float]


def bands_of(sheet: Sheet, most: float = SHEET_HIGH) -> tuple[Band, ...]:
    """From where to where each band goes, in pixels from the top. They follow each other without a gap."""
    whole = _joined(sorted(_whole(sheet)))
    found: list[Band] = []
    top = 0.0
    while sheet.height - top > most:
        cut = _cut(whole, top, top + most)
        found.append((top, cut))
        top = cut
    return (*found, (top, sheet.height))


def _cut(whole: list[Band], top: float, limit: float) -> float:
    """The lowest place above `limit` that is in nothing whole; `limit` itself where there is none."""
    inside = next((begin for begin, end in whole if begin < limit < end), limit)
    return float(int(inside)) if inside - top > (limit - top) * LEAST else limit


def _whole(sheet: Sheet) -> Iterator[Band]:
    """What may not be cut, from top to bottom each."""
    for shape in sheet.flat:
        if isinstance(shape, Words):
            yield shape.y - shape.size - 1.0, shape.y + 0.35 * shape.size + 1.0
            continue
        if isinstance(shape, Slab):
            tall = shape.height >= TALL or not (shape.fill or shape.edge)
            ys, wide = [shape.y, shape.y + shape.height], 1.0
        else:
            ys, wide = [y for _, y in shape.points], shape.width / 2 + 1.0
            tall = max(ys) - min(ys) > SIGN
        for low, high in _level(ys) if tall else [(min(ys), max(ys))]:
            yield low - wide, high + wide


def _level(ys: list[float]) -> list[Band]:
    """Of something tall, where it begins and ends and runs across."""
    return [(y, y) for y in dict.fromkeys(ys)]


def _joined(found: list[Band]) -> list[Band]:
    """Stretches that overlap as one; they come in order."""
    joined: list[Band] = []
    for begin, end in found:
        if joined and begin < joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((begin, end))
    return joined
