"""A tree with the same loads at any volts of its source: solved on a grid of volts, and read between by straight lines.

Volts and amps bend so little in the volts of a source that lines over a quarter of a volt are off by a quarter of a
millivolt at most where a part still works. Where a point of the grid cannot be fed, the tree is solved at the volts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from topo.power.forest import TERMINALS
from topo.power.solve import Flowing, Joint, Solvable
from topo.power.tree import FedTree

GRID_V = 0.25
CLOSE_AT_NIGHT = 1e-9
"""Steps of the solver stop here: the next would change less than a ten-thousandth of a millivolt."""

Point = tuple[list[float], float]
"""A point of the grid: volts at each joint, and the amps of the source."""


class FedNow:
    """What a tree has at some volts of its source. `amps` are those of the source, None where it cannot be fed; `short`
    are the parts that get fewer than their lowest volts, those that lack most first."""

    __slots__ = ("_lower", "_share", "_upper", "amps", "short")

    def __init__(self, lower: Sequence[float], upper: Sequence[float], share: float, amps: float | None) -> None:
        self._lower, self._upper, self._share, self.amps = lower, upper, share, amps
        self.short: tuple[str, ...] = ()

    def volts(self, joint: int) -> float | None:
        """Volts at a joint; None where it cannot be fed."""
        if self.amps is None:
            return None
        low = self._lower[joint]
        return low + self._share * (self._upper[joint] - low)


class Curve:
    """One tree with its loads as joints, and the lowest volts of the parts on it; `like` is it with other loads."""

    __slots__ = ("_all", "_enough", "_floors", "_grid", "_like", "_tree", "ends")

    def __init__(
        self, tree: FedTree, joints: Sequence[Joint], floors: Mapping[str, float], like: Curve | None = None
    ) -> None:
        self._tree, self._like = Solvable(joints), like
        self._grid: dict[int, Point | None] = {}
        self._floors = [(index + TERMINALS + 1, floors[end], end) for index, branch in enumerate(tree.branches)
                        if branch.known for end in branch.lead.ends if end in floors]  # fmt: skip
        self.ends = tuple(end for branch in tree.branches for end in branch.lead.ends if end in floors)
        self._all = tuple(sorted(self.ends, key=lambda end: (-floors[end], end)))
        self._enough: dict[int, bool] = {}

    def known(self, found: Flowing | None) -> FedNow:
        """At volts for which it is solved already."""
        return self._exact(None if found is None else found.volts, None if found is None else found.amps[0])

    def at(self, volts: float) -> FedNow:
        """Read from the grid."""
        step = math.floor(volts / GRID_V)
        upper, lower = self._point(step + 1), self._point(step)
        if upper is None or lower is None:
            found = self._tree.volts(volts)
            return self._exact(found, None if found is None else self._tree.drawn(found))
        share = volts / GRID_V - step
        made = FedNow(lower[0], upper[0], share, lower[1] + share * (upper[1] - lower[1]))
        if step not in self._enough:
            self._enough[step] = all(lower[0][joint] >= floor for joint, floor, _ in self._floors)
        return made if self._enough[step] else self._told_short(made)

    def _point(self, step: int) -> Point | None:
        """The point at so many times `GRID_V`; None where it cannot be fed."""
        if step in self._grid:
            return self._grid[step]
        above, further = self._grid.get(step + 1), self._grid.get(step + 2)
        if above is None:
            near = None if self._like is None else self._like._grid.get(step)
            volts = self._tree.volts(step * GRID_V, None if near is None else near[0], CLOSE_AT_NIGHT)
        else:  # from there, on the line through the two above it
            start = above[0] if further is None else [2 * a - b for a, b in zip(above[0], further[0], strict=True)]
            volts = self._tree.volts(step * GRID_V, start, CLOSE_AT_NIGHT, GRID_V)
        self._grid[step] = found = None if volts is None else (volts, self._tree.drawn(volts))
        return found

    def _exact(self, volts: Sequence[float] | None, amps: float | None) -> FedNow:
        return self._told_short(FedNow(volts or (), volts or (), 0.0, amps))

    def _told_short(self, made: FedNow) -> FedNow:
        if made.amps is None:
            made.short = self._all
        else:
            volts = ((made.volts(joint) or 0.0, floor, end) for joint, floor, end in self._floors)
            made.short = tuple(end for _, end in sorted((at - floor, end) for at, floor, end in volts if at < floor))
        return made
