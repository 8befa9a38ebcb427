"""The backs of the computer and of hubs, socket beside socket, with the rank of each for a new device.

As a strip in the terminal, and as a sheet. Ranks are computed elsewhere (`topo/place/options.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from topo.draw.look import NAME_SIZE, TEXT_SIZE
from topo.draw.metrics import shortened
from topo.draw.scene import WireKind
from topo.draw.shapes import Shape, Sheet, Slab, Words
from topo.draw.strokes import strokes
from topo.frozen import frozen
from topo.words.cells import cells, wrap

CELL, CELL_HIGH, EDGE_PX = 86.0, 64.0, 14.0
LEAST_CELLS, MOST_CELLS = 8, 14


@frozen
class Hole:
    """A socket: its name, what a wire from it may be, and its rank, what is plugged in, or why nothing goes there.
    `rank` is 0 where the new device does not go."""

    name: str
    kind: WireKind
    rank: int
    text: str


@frozen
class Back:
    """The sockets of one part, in its own order."""

    name: str
    holes: tuple[Hole, ...]


def back_lines(backs: Sequence[Back], width: int = 80) -> Iterator[str]:
    """The strips as lines of at most `width` cells: names above, ranks and what is plugged in below."""
    for back in backs:
        yield from wrap(back.name, width)
        size = min(MOST_CELLS, max([LEAST_CELLS, *(cells(hole.name) + 2 for hole in back.holes)]))
        across = max(1, (width - 3) // (size + 1))
        for start in range(0, len(back.holes), across):
            row = back.holes[start : start + across]
            yield "  +" + "+".join("-" * size for _ in row) + "+"
            yield "  |" + "|".join(_cell(hole.name, size) for hole in row) + "|"
            yield "  |" + "|".join(_cell(_said(hole), size) for hole in row) + "|"
            yield "  +" + "+".join("-" * size for _ in row) + "+"


def _said(hole: Hole) -> str:
    return f"{hole.rank}." if hole.rank else hole.text


def _cell(text: str, size: int) -> str:
    while cells(text) > size:
        text = text[: max(0, len(text) - 2)] + "~"
    left = (size - cells(text)) // 2
    return " " * left + text + " " * (size - cells(text) - left)


def back_sheet(backs: Sequence[Back], title: str, width: int = 900) -> Sheet:
    """The strips as a sheet as wide as asked for."""
    across = max(1, int((width - 2 * EDGE_PX) // CELL))
    shapes: list[Shape] = [Words(EDGE_PX, 26.0, shortened(title, width - 2 * EDGE_PX, NAME_SIZE), NAME_SIZE, bold=True)]
    y = 40.0
    for back in backs:
        shapes.append(Words(EDGE_PX, y + 14, shortened(back.name, width - 2 * EDGE_PX, NAME_SIZE), NAME_SIZE))
        y += 22.0
        for number, hole in enumerate(back.holes):
            shapes += _hole(hole, EDGE_PX + number % across * CELL, y + number // across * CELL_HIGH)
        y += CELL_HIGH * -(-len(back.holes) // across) + 12.0
    told = "; ".join(f"{back.name} {hole.name}: {_said(hole)}" for back in backs for hole in back.holes)
    return Sheet(float(width), y + 4.0, tuple(shapes), title, f"{told}.")


def _hole(hole: Hole, x: float, y: float) -> Iterator[Shape]:
    """A socket: its kind as wires have it, its name, and its rank, the first in a frame that is thicker."""
    best = hole.rank == 1
    yield Slab(x + 1, y + 1, CELL - 4, CELL_HIGH - 6, "paper" if hole.rank else "bar", "ink" if best else "edge",
               3.0 if best else 1.0)
    yield from strokes(hole.kind, ((x + 8, y + 13), (x + 26, y + 13)), "line" if hole.rank else "edge")
    name = shortened(hole.name, CELL - 38, TEXT_SIZE)
    yield Words(x + CELL - 9, y + 17, name, TEXT_SIZE, "ink" if hole.rank else "quiet", "end")
    words = shortened(_said(hole), CELL - 12, NAME_SIZE if hole.rank else TEXT_SIZE)
    size = NAME_SIZE if hole.rank else TEXT_SIZE
    yield Words(x + CELL / 2 - 1, y + 44, words, size, "ink" if hole.rank else "quiet", "middle", bool(hole.rank))
