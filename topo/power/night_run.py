"""One night of the 12 V side at one level of what is uncertain: the trees solved at each change of the loads, batteries
running down meanwhile, and who lacks volts when.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from topo.model.facts import value_of
from topo.model.feeds import Supply
from topo.model.night import Happening
from topo.power.bases import window
from topo.power.curve import Curve, FedNow
from topo.power.draining import Draining
from topo.power.forest import TERMINALS, AsPower, all_solved, forest_of
from topo.power.hours import night_seconds, raised_by

STRETCH_S, AFTER_DAWN_S = 600.0, 1800.0
"""The longest time in which nothing is looked at anew: by night, and where a battery is followed further."""

FURTHER = 3.0
"""How many nights long a battery is followed."""

Stretch = tuple[float, float, frozenset[str]]
"""From when to when, s, and the parts at their peak."""

KnownLoads = tuple[list[Curve], list[FedNow]]
"""Of each tree with some loads: its curve, and what it had when these loads were met first."""


class FedPlan:
    """What the three levels of a night have in common."""

    def __init__(self, held: AsPower, happenings: Sequence[Happening]) -> None:
        self.rig = rig = held.rig
        self.seconds = night_seconds(rig)
        self.forest = forest_of(held)
        self.trees = self.forest.trees
        things = (*((part.id, part) for part in rig.parts), *((each.id, each) for each in rig.converters))
        self.floors = {name: floor.value for name, each in things if (floor := window(each)[0]) is not None}
        self.batteries = tuple(each for each in rig.supplies if _is_followed(each))
        raised = [(each.at_s, each.at_s + each.lasts_s, raised_by(rig, each)) for each in happenings]
        self.stretches = [
            (begin, end, frozenset().union(*(names for at, until, names in raised if at <= begin < until)))
            for begin, end in self._marks(raised)
        ]

    def _marks(self, raised: list[tuple[float, float, frozenset[str]]]) -> list[tuple[float, float]]:
        """From one change to the next, none longer than `STRETCH_S`; after dawn normal work goes on."""
        marks = {0.0, self.seconds}
        marks.update(end for at, until, _ in raised for end in (at, until) if end < self.seconds)
        marks.update(STRETCH_S * index for index in range(int(self.seconds // STRETCH_S) + 1))
        whole = sorted(marks)
        if self.batteries:
            steps = math.ceil((FURTHER - 1) * self.seconds / AFTER_DAWN_S)
            whole += [self.seconds + AFTER_DAWN_S * step for step in range(1, steps + 1)]
        return list(itertools.pairwise(whole))


class Lack:
    """A part that lacks volts from a time on, s; `until_s` None while it does."""

    __slots__ = ("at_s", "battery_low", "part", "raised", "source", "until_s")

    def __init__(self, part: str, source: str, at_s: float, raised: frozenset[str], battery_low: bool) -> None:
        self.part, self.source, self.at_s, self.raised, self.battery_low = part, source, at_s, raised, battery_low
        self.until_s: float | None = None


class NightRun:
    """One night at one level (0 low volts, 1 likely, 2 high)."""

    def __init__(self, plan: FedPlan, level: int) -> None:
        self.plan, self.level = plan, level
        self.tracks: dict[str, Draining] = {}
        self.moments: list[tuple[float, list[FedNow | None]]] = []
        self.lacks: list[Lack] = []
        self._met: dict[frozenset[str], KnownLoads] = {}
        self._open: dict[tuple[str, str], Lack] = {}

    def run(self) -> NightRun:
        """The night, and as long after it as batteries are followed."""
        coldest, dawn = value_of(self.plan.rig.night.facts.coldest_celsius), self.plan.seconds
        self.tracks = {each.id: Draining(each, coldest, self.level) for each in self.plan.batteries}
        tracks = [self.tracks.get(tree.source.id) for tree in self.plan.trees]
        for begin, end, raised in self.plan.stretches:
            night = begin < dawn
            if not night and all(track.is_done for track in self.tracks.values()):
                break
            met = self._met.get(raised) or self._meet(raised)
            here: list[FedNow | None] = [
                known if track is None else curve.at(track.rest_volts())
                for track, curve, known in zip(tracks, *met, strict=True)
            ]
            for index, track in enumerate(tracks):
                if track is not None and track.flat_s is None and (moment := here[index]) is not None:
                    track.drain(begin, end, moment.amps, moment.volts(TERMINALS), night)
            if night:
                self._note(begin, raised, here, tracks)
        return self

    def _meet(self, raised: frozenset[str]) -> KnownLoads:
        """What each tree has with these loads: those of batteries solved at volts as they come."""
        # What a converter draws hangs on no volts of its source: the joints are the same at all of them.
        solutions = all_solved(self.plan.forest, "typical", self.level, raised, self.tracks)
        like, _ = next(iter(self._met.values()), ([None] * len(solutions), []))
        curves = [Curve(tree, each.joints, self.plan.floors, other)
                  for tree, each, other in zip(self.plan.trees, solutions, like, strict=True)]  # fmt: skip
        self._met[raised] = met = curves, [
            curve.at(track.rest_volts()) if (track := self.tracks.get(tree.source.id)) is not None
            else curve.known(each.flowing)
            for tree, curve, each in zip(self.plan.trees, curves, solutions, strict=True)
        ]  # fmt: skip
        return met

    def _note(
        self, at: float, raised: frozenset[str], here: list[FedNow | None], tracks: Sequence[Draining | None]
    ) -> None:
        curves, first = self._met[raised]
        for index, track in enumerate(tracks):
            moment = here[index]
            if track is not None and track.flat_s is not None and track.flat_s <= at:
                here[index] = moment = None
            short = curves[index].ends if moment is None else moment.short
            if short or self._open:
                self._lacking(self.plan.trees[index].source.id, at, raised, short, first[index].short)
        self.moments.append((at, here))

    def _lacking(
        self, source: str, at: float, raised: frozenset[str], short: Sequence[str], at_first: Sequence[str]
    ) -> None:
        """Opens and closes what is noted of parts that lack volts. What lacked them when a load was met first does not
        lack them because a battery ran down."""
        for name in short:
            low = name not in at_first
            before = self._open.get((source, name))
            if before is not None and before.battery_low == low:
                continue
            if before is not None:
                before.until_s = at
            self._open[source, name] = lack = Lack(name, source, at, raised, low)
            self.lacks.append(lack)
        for key in [key for key in self._open if key[0] == source and key[1] not in short]:
            self._open.pop(key).until_s = at


def _is_followed(supply: Supply) -> bool:
    """A battery of which capacity and kind are known."""
    return supply.is_battery and supply.facts.ah is not None and supply.facts.chemistry is not None
