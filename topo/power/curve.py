"""A tree with the same loads at any volts of its source: solved on a grid of volts, and read between by straight lines.

Volts and amps bend so little in the volts of a source that lines over a quarter of a volt are off by a quarter of a
millivolt at most where a part still works. Where a point of the grid cannot be fed, the tree is solved at the volts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from topo.power.forest import TERMINALS
from topo.power.solve import Flowing, Joint, solved
from topo.power.tree import FedTree

GRID_V = 0.25
CLOSE_AT_NIGHT = 1e-5
"""Steps of the solver stop here: the next would change less than a hundredth of a millivolt."""

Point = tuple[Flowing | None, bool]
"""A point of the grid, and whether every part works at it."""


class FedNow:
    """What a tree has at some volts of its source. `amps` are those of the source, None where it cannot be fed; `short`
    are the parts that get fewer than their lowest volts, those that lack most first."""

    __slots__ = ("_lower", "_share", "_upper", "amps", "short")

    def __init__(self, lower: Flowing | None, upper: Flowing | None, share: float) -> None:
        self._lower, self._upper, self._share = lower, upper, share
        self.short: tuple[str, ...] = ()
        self.amps: float | None = None
        if lower is not None and upper is not None:
            self.amps = lower.amps[0] + share * (upper.amps[0] - lower.amps[0])

    def volts(self, joint: int) -> float | None:
        """Volts at a joint; None where it cannot be fed."""
        if self._lower is None or self._upper is None:
            return None
        low = self._lower.volts[joint]
        return low + self._share * (self._upper.volts[joint] - low)


class Curve:
    """One tree with its loads as joints, and the lowest volts of the parts on it."""

    def __init__(self, tree: FedTree, joints: Sequence[Joint], floors: Mapping[str, float]) -> None:
        self._joints = joints
        self._floors = [(index + TERMINALS + 1, floors[end], end) for index, branch in enumerate(tree.branches)
                        if branch.known for end in branch.lead.ends if end in floors]  # fmt: skip
        self.ends = tuple(end for branch in tree.branches for end in branch.lead.ends if end in floors)
        self._all = tuple(sorted(self.ends, key=lambda end: (-floors[end], end)))
        self._grid: dict[int, Point] = {}

    def exactly(self, volts: float) -> FedNow:
        """Solved at those volts."""
        return self.known(solved(volts, self._joints))

    def known(self, found: Flowing | None) -> FedNow:
        """At volts for which it is solved already."""
        return self._moment(found, found, 0.0, found is not None and self._is_enough(found))

    def at(self, volts: float) -> FedNow:
        """Read from the grid."""
        step = math.floor(volts / GRID_V)
        upper, _ = self._point(step + 1)
        lower, enough = self._point(step)
        if upper is None or lower is None:
            return self.exactly(volts)
        return self._moment(lower, upper, volts / GRID_V - step, enough)

    def _point(self, step: int) -> Point:
        if step not in self._grid:
            above = self._grid.get(step + 1, (None, False))[0]  # the answer at more volts is where to start from
            found = solved(step * GRID_V, self._joints, None if above is None else above.volts, CLOSE_AT_NIGHT)
            self._grid[step] = found, found is not None and self._is_enough(found)
        return self._grid[step]

    def _is_enough(self, flowing: Flowing) -> bool:
        return all(flowing.volts[joint] >= floor for joint, floor, _ in self._floors)

    def _moment(self, lower: Flowing | None, upper: Flowing | None, share: float, enough: bool) -> FedNow:
        made = FedNow(lower, upper, share)
        if lower is None:
            made.short = self._all
        elif not enough:
            volts = ((made.volts(joint) or 0.0, floor, end) for joint, floor, end in self._floors)
            made.short = tuple(end for _, end in sorted((at - floor, end) for at, floor, end in volts if at < floor))
        return made
