"""All trees of a rig solved at once, those of converters before what feeds them: one state of the loads, one level."""

from __future__ import annotations

import math
from collections.abc import Container, Mapping, Sequence
from functools import lru_cache

from topo.frozen import frozen
from topo.model.facts import Range3, value_of
from topo.model.feeds import Converter
from topo.model.power import LoadState
from topo.model.rig import Device, Rig
from topo.power.loads import STATED_AT_VOLTS, Drawing, drawing
from topo.power.solve import Flowing, Joint, solved
from topo.power.tree import FedTree, trees

EFFICIENCY = Range3(0.80, 0.88, 0.95)
"""Of a converter nobody describes: 88 % is a common worked figure, the rest our own, no source."""

TERMINALS = 1
"""Index of the joint behind the source's own resistance; branches begin after it."""


class AsPower:
    """A rig, equal to every other with the same 12 V side: what answers are remembered by."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        drawn = tuple((part.id, part.facts, part.role, part.use.duty_percent if isinstance(part, Device) else None)
                      for part in rig.parts)  # fmt: skip
        self.all = (rig.supplies, rig.leads, rig.blocks, rig.boxes, rig.converters, rig.night.facts.coldest_celsius,
                    drawn)
        self._hash = hash(self.all)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, AsPower) and self.all == other.all

    def __hash__(self) -> int:
        return self._hash


@frozen
class Forest:
    """The trees of a rig, what each part draws, and of each branch of each tree its ohms at the three levels."""

    trees: tuple[FedTree, ...]
    loads: dict[str, Drawing]
    ohms: tuple[tuple[tuple[float, float, float], ...], ...]


@lru_cache(maxsize=64)
def forest_of(held: AsPower) -> Forest:
    """The forest of a rig, remembered: volts now and volts through the night begin with it."""
    found = trees(held.rig)
    return Forest(found, loads_of(held.rig, found), tuple(
        tuple((branch.ohm(0), branch.ohm(1), branch.ohm(2)) for branch in tree.branches) for tree in found
    ))  # fmt: skip


@frozen
class Solution:
    """A tree solved: the volts of its source, its joints, and what flows (None: it cannot be fed)."""

    volts: float
    joints: list[Joint]
    flowing: Flowing | None


def loads_of(rig: Rig, found: Sequence[FedTree]) -> dict[str, Drawing]:
    """What each part draws at the volts of its tree, where anybody says."""
    fed = {end: tree.volts.likely for tree in found for branch in tree.branches for end in branch.lead.ends}
    drawn = ((part.id, drawing(part, fed.get(part.id, STATED_AT_VOLTS))) for part in rig.parts)
    return {name: load for name, load in drawn if load is not None}


def all_solved(
    forest: Forest, state: LoadState, level: int, raised: frozenset[str] = frozenset(),
    unsolved: Container[str] = (),
) -> list[Solution]:  # fmt: skip
    """Every tree, in order, at a level (0 low volts, 1 likely, 2 high).

    Parts in `raised` are at their peak whatever the state. Of supplies in `unsolved` only the joints are asked.
    """
    watts_into: dict[str, float] = {}
    found: list[Solution] = []
    for index in range(len(forest.trees) - 1, -1, -1):
        tree = forest.trees[index]
        source = list(tree.volts)[level]
        points = _joints(forest, index, state, level, raised, watts_into)
        flowing = None if tree.source.id in unsolved else solved(source, points)
        found.append(Solution(source, points, flowing))
        if isinstance(tree.source, Converter):
            watts_into[tree.source.id] = _into(tree.source, points, flowing, level)
    return found[::-1]


def _joints(
    forest: Forest, number: int, state: LoadState, level: int, raised: frozenset[str], watts_into: Mapping[str, float]
) -> list[Joint]:
    tree, loads, worst = forest.trees[number], forest.loads, 2 - level
    made = [Joint(-1), Joint(0, list(tree.inside)[worst])]
    for branch, ohms in zip(tree.branches, forest.ohms[number], strict=True):
        ohm = ohms[worst]
        amps, watts, siemens = [], [], []
        for end in branch.lead.ends:
            watts.append(watts_into.get(end, 0.0))
            load = loads.get(end)
            each = None if load is None else load.amps.of("peak" if end in raised else state)
            if load is None or each is None:
                continue
            drawn = list(each)[worst]
            if load.draws == "watts":
                watts.append(drawn * load.volts)
            elif load.draws == "ohms":
                siemens.append(drawn / load.volts)
            else:
                amps.append(drawn)
        made.append(Joint(branch.above + TERMINALS + 1, ohm, math.fsum(amps), math.fsum(watts), math.fsum(siemens)))
    return made


def _into(converter: Converter, points: list[Joint], flowing: Flowing | None, level: int) -> float:
    """Watts that go into a converter for what hangs on it; where that cannot be fed, for all it asks."""
    stated = value_of(converter.facts.efficiency_percent)
    share = list(EFFICIENCY)[level] if stated is None else stated / 100
    if flowing is not None:
        return converter.volts * flowing.amps[0] / share
    return math.fsum(
        each.watts + converter.volts * (each.amps + converter.volts * each.siemens) for each in points
    ) / share
