"""One night of the 12 V side at one level of what is uncertain: the trees solved at each change of the loads, batteries
running down meanwhile, and who lacks volts when.

A battery's charge is counted after Peukert from stretch to stretch, and its volts at rest follow its charge.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from topo.model.facts import value_of
from topo.model.feeds import Supply
from topo.model.night import Happening
from topo.power.bases import window
from topo.power.battery import ENDS_AT, USABLE, capacity_ah, net_amps, rest_volts, used_share
from topo.power.curve import Curve, FedNow
from topo.power.forest import TERMINALS, AsPower, all_solved, forest_of
from topo.power.hours import night_seconds, raised_by

STRETCH_S, AFTER_DAWN_S = 600.0, 1800.0
"""The longest time in which nothing is looked at anew: by night, and where a battery is followed further."""

UNKNOWN_CHARGE = (0.8, 1.0, 1.0)
"""How full a battery is at dusk where nobody says (our own, no source)."""

FURTHER = 3.0
"""How many nights long a battery is followed."""

Stretch = tuple[float, float, frozenset[str]]
"""From when to when, s, and the parts at their peak."""


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


class Draining:
    """A battery while it runs: share of its charge left, and what is noted of it, s."""

    __slots__ = ("at_dawn", "capacity", "ends_at", "flat_s", "left", "supply", "usable", "used_up_s")

    def __init__(self, supply: Supply, capacity: float, left: float, usable: float, ends_at: float) -> None:
        self.supply, self.capacity, self.left, self.usable, self.ends_at = supply, capacity, left, usable, ends_at
        self.used_up_s: float | None = None
        self.flat_s: float | None = None
        self.at_dawn = left

    @property
    def is_done(self) -> bool:
        """Whether what it may give is used up, or all of it."""
        return self.used_up_s is not None or self.flat_s is not None


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
        self._curves: dict[frozenset[str], list[Curve]] = {}
        self._first: dict[frozenset[str], list[FedNow]] = {}
        self._open: dict[tuple[str, str], Lack] = {}

    def run(self) -> NightRun:
        """The night, and as long after it as batteries are followed."""
        coldest = value_of(self.plan.rig.night.facts.coldest_celsius)
        self.tracks = {each.id: _track(each, coldest, self.level) for each in self.plan.batteries}
        for begin, end, raised in self.plan.stretches:
            night = begin < self.plan.seconds
            if not night and all(track.is_done for track in self.tracks.values()):
                break
            here = self._moments(raised)
            for tree, moment in zip(self.plan.trees, here, strict=True):
                if (track := self.tracks.get(tree.source.id)) is not None and track.flat_s is None:
                    _drain(track, begin, end, moment, night)
            if night:
                self._note(begin, raised, here)
        return self

    def _moments(self, raised: frozenset[str]) -> list[FedNow]:
        """What each tree has now: those of batteries at the volts of their charge."""
        if raised in self._curves:
            curves, found = self._curves[raised], list(self._first[raised])
        else:
            # What a converter draws hangs on no volts of its source: the joints are the same at all of them.
            solutions = all_solved(self.plan.forest, "typical", self.level, raised, self.tracks)
            curves = [Curve(tree, each.joints, self.plan.floors)
                      for tree, each in zip(self.plan.trees, solutions, strict=True)]  # fmt: skip
            found = [curve.known(each.flowing) for curve, each in zip(curves, solutions, strict=True)]
        for index, tree in enumerate(self.plan.trees):
            if (track := self.tracks.get(tree.source.id)) is not None:
                found[index] = curves[index].at(_volts(track, self.level))
        self._curves.setdefault(raised, curves)
        self._first.setdefault(raised, found)
        return found

    def _note(self, at: float, raised: frozenset[str], here: list[FedNow]) -> None:
        noted: list[FedNow | None] = []
        for index, (tree, moment) in enumerate(zip(self.plan.trees, here, strict=True)):
            track = self.tracks.get(tree.source.id)
            off = track is not None and track.flat_s is not None and track.flat_s <= at
            noted.append(None if off else moment)
            short = self._curves[raised][index].ends if off else moment.short
            if short or self._open:
                self._lacking(tree.source.id, at, raised, short, self._first[raised][index].short)
        self.moments.append((at, noted))

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


def _drain(track: Draining, begin: float, end: float, moment: FedNow, night: bool) -> None:
    amps, volts = moment.amps, moment.volts(TERMINALS)
    if amps is None or volts is None or volts < track.ends_at:
        track.flat_s = begin
        return
    share = used_share(track.supply, net_amps(track.supply, amps), (end - begin) / 3600, track.capacity)
    if track.used_up_s is None and track.left - share < 1 - track.usable:
        before = max(0.0, track.left - (1 - track.usable))
        track.used_up_s = begin + (end - begin) * min(1.0, before / share if share else 1.0)
    if share >= track.left and share:
        track.flat_s = begin + (end - begin) * track.left / share
    track.left = max(0.0, track.left - share)
    if night:
        track.at_dawn = track.left


def _is_followed(supply: Supply) -> bool:
    """A battery of which capacity and kind are known."""
    return supply.is_battery and supply.facts.ah is not None and supply.facts.chemistry is not None


def _track(supply: Supply, coldest: float | None, level: int) -> Draining:
    """A battery as it is at dusk."""
    capacity, chemistry = capacity_ah(supply, coldest), value_of(supply.facts.chemistry)
    assert capacity is not None and chemistry is not None
    charge = value_of(supply.facts.charge_percent)
    left = UNKNOWN_CHARGE[level] if charge is None else charge / 100
    usable = value_of(supply.facts.usable_percent, 100 * USABLE[chemistry]) / 100
    ends_at = value_of(supply.facts.cut_off_volts, ENDS_AT[chemistry])
    return Draining(supply, (capacity.low, capacity.likely, capacity.high)[level], left, usable, ends_at)


def _volts(track: Draining, level: int) -> float:
    """At rest, by charge; no more than the file says it rests at, but at the high end."""
    chemistry = value_of(track.supply.facts.chemistry)
    assert chemistry is not None
    volts = rest_volts(chemistry, track.left)
    return volts if level == 2 else min(volts, track.supply.volts)
