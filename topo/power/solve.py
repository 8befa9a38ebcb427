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


def solved(
    source_volts: float, tree: Sequence[Joint], start: Sequence[float] | None = None, close: float = CLOSE
) -> Flowing | None:
    """The highest volts at which every load is fed; None where there are none. Points come after what they hang on.

    The source's own point is the first, and hangs on -1. `start` may be the answer of the same tree at no fewer volts:
    it lies above this one, so that steps go down from there as well. `close` is when they stop, as `CLOSE`.
    """
    above = [joint.above for joint in tree]
    ohm = [joint.ohm for joint in tree]
    amps = [joint.amps for joint in tree]
    watts = [joint.watts for joint in tree]
    siemens = [joint.siemens for joint in tree]
    constant = any(watts)
    volts = list(start) if start is not None and constant else _step(source_volts, above, ohm, amps, siemens)
    for _ in range(MOST_STEPS if constant else 0):
        if volts is None:
            return None
        j = [a + 2 * p / v for a, p, v in zip(amps, watts, volts, strict=True)]
        g = [s - p / (v * v) for s, p, v in zip(siemens, watts, volts, strict=True)]
        new = _step(source_volts, above, ohm, j, g)
        if new is None:
            return None
        down = [a - b for a, b in zip(volts, new, strict=True)]
        change = max(max(down), -min(down))
        if min(down) < -1e-9 * source_volts:
            return None  # up again: past the fold
        volts = new
        if change <= close * source_volts:
            break
    return None if volts is None else Flowing(tuple(volts), _amps(tree, volts))


def _step(
    source_volts: float, above: list[int], ohm: list[float], amps: list[float], siemens: list[float]
) -> list[float] | None:
    """Volts where each point draws amps + siemens·V: for watts, the straight line that touches P/V at the volts before.

    Backward: what a point and all below it draw as j + g·V. Forward: volts from the source down.
    """
    j, g = amps[:], siemens[:]
    pivots = [1.0] * len(above)
    for index in range(len(above) - 1, -1, -1):
        pivot = 1 + ohm[index] * g[index]
        if pivot <= 0:
            return None
        pivots[index] = pivot
        if (over := above[index]) >= 0:
            j[over] += j[index] / pivot
            g[over] += g[index] / pivot
    volts: list[float] = []
    for index, up in enumerate(above):
        at = source_volts if up < 0 else volts[up]
        here = at - ohm[index] * (j[index] + g[index] * at) / pivots[index]
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
