"""Volts on a tree of wires with loads: numbers alone, nothing of rigs.

A load draws `amps` whatever the volts, or `watts` (the current rises as volts fall), or through `siemens` (a heater),
or all of these. With watts the equations are V = A⁻¹(b - P/V), where A⁻¹ has no negative entry: from the volts without
watts, Newton's steps only ever go down, and end at the highest solution if there is one (the monotone Newton theorem:
each equation is convex, and the matrix stays an M-matrix above the solution). So a pivot that is not positive, or
volts that are not, prove that there is none: the load cannot be fed over these leads. For one load behind R that is
P > V²/4R.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from topo.frozen import frozen, replace

MOST_STEPS = 200
CLOSE = 1e-14
"""Steps stop once no volts change by more than this share of the source. At the fold they halve each time."""


@frozen
class Joint:
    """A point of the tree: the index of the point it hangs on (-1 for the source), the ohms up to it (both wires), and
    what is drawn there."""

    above: int
    ohm: float = 0.0
    amps: float = 0.0
    watts: float = 0.0
    siemens: float = 0.0


@frozen
class Flowing:
    """A solution: volts at each point, and the amps through the wire up to it."""

    volts: tuple[float, ...]
    amps: tuple[float, ...]


def solved(source_volts: float, tree: Sequence[Joint]) -> Flowing | None:
    """The highest volts at which every load is fed; None where there are none. Points come after what they hang on.

    The source's own point is the first, and hangs on -1.
    """
    volts = _step(source_volts, tree, None)
    steps = MOST_STEPS if any(joint.watts > 0 for joint in tree) else 0
    for _ in range(steps):
        if volts is None:
            return None
        new = _step(source_volts, tree, volts)
        if new is None:
            return None
        change = max(abs(a - b) for a, b in zip(volts, new, strict=True))
        if any(b > a + 1e-9 * source_volts for a, b in zip(volts, new, strict=True)):
            return None  # up again: past the fold
        volts = new
        if change <= CLOSE * source_volts:
            break
    if volts is None:
        return None
    return Flowing(tuple(volts), _amps(tree, volts))


def _step(source_volts: float, tree: Sequence[Joint], at: list[float] | None) -> list[float] | None:
    """Volts with the watts taken as the straight line that touches P/V at `at`; without them where that is None.

    Backward: what a point and all below it draw as j + g·V. Forward: volts from the source down.
    """
    j = [joint.amps for joint in tree]
    g = [joint.siemens for joint in tree]
    if at is not None:
        for index, joint in enumerate(tree):
            if joint.watts:
                j[index] += 2 * joint.watts / at[index]
                g[index] -= joint.watts / at[index] ** 2
    pivots = [0.0] * len(tree)
    for index in range(len(tree) - 1, -1, -1):
        pivot = 1 + tree[index].ohm * g[index]
        if pivot <= 0:
            return None
        pivots[index] = pivot
        above = tree[index].above
        if above >= 0:
            j[above] += j[index] / pivot
            g[above] += g[index] / pivot
    volts: list[float] = []
    for index, joint in enumerate(tree):
        over = source_volts if joint.above < 0 else volts[joint.above]
        here = over - joint.ohm * (j[index] + g[index] * over) / pivots[index]
        if not here > 0:
            return None
        volts.append(here)
    return volts


def _amps(tree: Sequence[Joint], volts: Sequence[float]) -> tuple[float, ...]:
    """What each point draws with all below it, added up from the far ends."""
    drawn: list[list[float]] = [
        [joint.amps, joint.siemens * here, joint.watts / here] for joint, here in zip(tree, volts, strict=True)
    ]
    through = [0.0] * len(tree)
    for index in range(len(tree) - 1, -1, -1):
        through[index] = math.fsum(drawn[index])
        if tree[index].above >= 0:
            drawn[tree[index].above].append(through[index])
    return tuple(through)


def share_that_can_be_fed(source_volts: float, tree: Sequence[Joint]) -> float:
    """The largest share of all that is drawn that can still be fed, to a thousandth; 1 where all can."""
    if solved(source_volts, tree) is not None:
        return 1.0
    low, high = 0.0, 1.0
    while high - low > 5e-4:
        middle = (low + high) / 2
        scaled = [
            replace(joint, amps=joint.amps * middle, watts=joint.watts * middle, siemens=joint.siemens * middle)
            for joint in tree
        ]
        low, high = (middle, high) if solved(source_volts, scaled) is not None else (low, middle)
    return low
