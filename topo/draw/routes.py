"""The way of a moved plug's cable: from its part along the right edge to the new socket, so that it crosses nothing."""

from __future__ import annotations

import math

from topo.draw.blocks import Row, block_height, run_width
from topo.draw.placed import MARGIN, Box, Placed, Route, Track
from topo.draw.scene import Move, Scene
from topo.frozen import replace

LANE = 12.0
"""Width along the right edge for each plug to move."""


def width_beside(scene: Scene) -> float:
    """What the routes of plugs to move leave of a picture's width."""
    return float(scene.width_px) - LANE * len(scene.moves)


def routes(placed: Placed, tags: dict[tuple[str, str], tuple[Row, ...]]) -> Placed:
    """The picture with a route for each plug to move. `tags` are what to do at a socket, in rows that fit there."""
    found = []
    for number, move in enumerate(placed.scene.moves):
        edge = placed.width - MARGIN / 2 - LANE * number - 1.0
        end = _end(placed, move)
        start = _start(placed, move, number)
        if end is None or start is None:
            continue
        points: Track = (*start, (edge, start[-1][1]), (edge, end[-1][1]), *reversed(end))
        tag = tags.get((move.above, move.socket), ())
        found.append(Route(move, points, tag, end[0][0] + 40.0))
    return replace(placed, routes=tuple(found))


def _start(placed: Placed, move: Move, number: int) -> Track | None:
    """From the part: right of its name, or above its card where other things hang at its right."""
    box = next((box for box in placed.boxes if box.node.key == move.part), None)
    if box is None:
        return None
    if box.bar:
        x = box.x + 16.0 + 8.0 * number
        return (x, box.y), (x, box.y - 5.0)
    return ((_name_end(box), _name_middle(box)),)


def _name_end(box: Box) -> float:
    """Where the longest of a leaf's lines ends, since the route runs beside its name."""
    first = box.rows[0] if box.rows else Row((("name", box.node.name),))
    width = math.fsum(run_width(style, text) for style, text in first.runs) + 8.0 * (len(first.runs) - 1)
    return min(box.right - 4.0, box.x + 14.0 + width + 12.0)


def _name_middle(box: Box) -> float:
    top = box.y + (box.height - block_height(box.rows)) / 2
    return top + box.rows[0].height / 2 if box.rows else box.y + box.height / 2


def _end(placed: Placed, move: Move) -> Track | None:
    """To the socket: along its own empty row, or where it is in use along the gap above what hangs there."""
    for stub in placed.stubs:
        if stub.above == move.above and move.socket in stub.names:
            return ((stub.x + 3.0, stub.y),)
    for strand in placed.strands:
        if strand.wire.above == move.above and strand.wire.socket == move.socket:
            box = next(box for box in placed.boxes if box.node.key == strand.wire.below)
            x = strand.points[0][0] + 6.0
            return (x, strand.points[0][1] - 4.0), (x, box.y - 5.0)
    return None
