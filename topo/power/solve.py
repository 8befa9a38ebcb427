"""Volts on a tree of wires with loads: numbers alone, nothing of rigs.

A load draws `amps` whatever the volts, or `watts` (the current rises as volts fall), or through `siemens` (a heater),
or all of these. With watts the equations are V = A⁻¹(b - P/V), where A⁻¹ has no negative entry: from the volts without
watts, Newton's steps only ever go down, and end at the highest solution if there is one (the monotone Newton theorem:
each equation is convex, and the matrix stays an M-matrix above the solution). So a pivot that is not positive, or
volts that are not, prove that there is none: the load cannot be fed over these leads. For one load behind R that is
P > V²/4R. Only steps from there prove it: those from elsewhere end above the answer as well, or are begun again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from topo.frozen import frozen

MOST_STEPS = 200
CLOSE = 1e-14
"""Steps stop once what is left to go is less than this share of the source. At the fold they halve each time."""


class Joint(NamedTuple):
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


class Solvable:
    """A tree of joints as plain columns, to be solved at any volts of its source. Points come after what they hang on;
    the source's own point is the first, and hangs on -1."""

    __slots__ = ("_amps", "_back", "_forth", "_siemens", "_watts")

    def __init__(self, tree: Sequence[Joint]) -> None:
        self._amps = [joint.amps for joint in tree]
        self._siemens = [joint.siemens for joint in tree]
        self._watts = [(index, joint.watts) for index, joint in enumerate(tree) if joint.watts]
        self._forth = [(index, joint.above, joint.ohm) for index, joint in enumerate(tree)]
        self._back = self._forth[::-1]

    def volts(
        self, source_volts: float, start: Sequence[float] | None = None, close: float = CLOSE, moved: float = 0.0
    ) -> list[float] | None:
        """The highest volts at which every load is fed; None where there are none.

        `start` are volts near these, as of a source that has `moved` by so much, or of other loads. A step from where
        the wires are not past their fold ends above the answer, whichever side it began on; from elsewhere none is
        taken. Each step is about the square of the one before times a factor that two of them show, until the fold is
        near: steps stop once the next is less than the share `close` of the source.
        """
        volts, last, enough = None, 0.0, close * source_volts
        if start is not None and self._watts and (volts := self._step(source_volts, start)) is not None:
            last = _change(start, volts)
            if moved and _is_enough(last, moved, enough):
                return volts
        if volts is None:
            volts = self._step(source_volts, None)
        for _ in range(MOST_STEPS if self._watts else 0):
            if volts is None or (new := self._step(source_volts, volts)) is None:
                return None
            down = [a - b for a, b in zip(volts, new, strict=True)]
            if min(down) < -1e-9 * source_volts:
                return None  # up again: past the fold
            volts, change = new, max(max(down), -min(down))
            if change <= enough or _is_enough(change, last, enough):
                break
            last = change
        return volts

    def _step(self, source_volts: float, volts: Sequence[float] | None) -> list[float] | None:
        """Volts where each point draws amps + siemens·V. Watts count as the straight line that touches P/V at the volts
        before; without any before, as nothing.

        Backward: what a point and all below it draw as j + g·V. Forward: volts from the source down.
        """
        j, g = self._amps[:], self._siemens[:]
        if volts is not None:
            for index, watts in self._watts:
                here = volts[index]
                drawn = watts / here
                j[index] += 2 * drawn
                g[index] -= drawn / here
        pivots: list[float] = []
        for index, over, ohm in self._back:
            each = g[index]
            pivot = 1 + ohm * each
            if pivot <= 0:
                return None
            pivots.append(pivot)
            if over >= 0:
                j[over] += j[index] / pivot
                g[over] += each / pivot
        new: list[float] = []
        for index, over, ohm in self._forth:
            at = source_volts if over < 0 else new[over]
            here = at - ohm * (j[index] + g[index] * at) / pivots[-1 - index]
            if not here > 0:
                return None
            new.append(here)
        return new

    def drawn(self, volts: Sequence[float]) -> float:
        """Amps that the source gives at those volts."""
        return math.fsum((
            *self._amps, *(each * here for each, here in zip(self._siemens, volts, strict=True) if each),
            *(watts / volts[index] for index, watts in self._watts),
        ))  # fmt: skip

    def amps(self, volts: Sequence[float]) -> tuple[float, ...]:
        """What each point draws with all below it, added up from the far ends."""
        drawn = [[a, s * here] for a, s, here in zip(self._amps, self._siemens, volts, strict=True)]
        for index, watts in self._watts:
            drawn[index].append(watts / volts[index])
        through = [0.0] * len(drawn)
        for index, over, _ in self._back:
            through[index] = math.fsum(drawn[index])
            if over >= 0:
                drawn[over].append(through[index])
        return tuple(through)


def _change(before: Sequence[float], after: Sequence[float]) -> float:
    return max(abs(a - b) for a, b in zip(before, after, strict=True))


def _is_enough(change: float, last: float, enough: float) -> bool:
    """Whether the step after one of `change`, which came after one of `last`, is small enough not to be taken."""
    return change < last / 10 and change * (change / last) ** 2 <= enough


def solved(source_volts: float, tree: Sequence[Joint]) -> Flowing | None:
    """The highest volts at which every load of a tree is fed, and what flows; None where there are none."""
    made = Solvable(tree)
    volts = made.volts(source_volts)
    return None if volts is None else Flowing(tuple(volts), made.amps(volts))


def share_that_can_be_fed(source_volts: float, tree: Sequence[Joint]) -> float:
    """The largest share of all that is drawn that can still be fed, to a thousandth; 1 where all can."""
    if solved(source_volts, tree) is not None:
        return 1.0
    low, high = 0.0, 1.0
    while high - low > 5e-4:
        middle = (low + high) / 2
        scaled = [
            Joint(above, ohm, amps * middle, watts * middle, siemens * middle)
            for above, ohm, amps, watts, siemens in tree
        ]
        low, high = (middle, high) if solved(source_volts, scaled) is not None else (low, middle)
    return low
