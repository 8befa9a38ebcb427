"""Volts through the night: the trees solved at each change of the loads, batteries running down meanwhile.

Loads are in normal work, those that something happens to at their peak. A battery's charge is counted after Peukert
from stretch to stretch, and its volts at rest follow its charge; all of that is an estimate.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from topo.model.facts import Range3, value_of
from topo.model.feeds import Supply
from topo.model.night import Happening
from topo.model.power import BatteryNight, PowerNight
from topo.model.rig import Rig
from topo.power.bases import window
from topo.power.battery import ENDS_AT, USABLE, capacity_ah, rest_volts, used_share
from topo.power.forest import TERMINALS, AsPower, Solution, all_solved, loads_of
from topo.power.hours import night_seconds, raised_by, usual_happenings
from topo.power.loads import Drawing
from topo.power.tree import FedTree, trees

STRETCH_S, AFTER_DAWN_S = 600.0, 1800.0
"""The longest time in which nothing is looked at anew: by night, and where a battery is followed further."""

UNKNOWN_CHARGE = (0.8, 1.0, 1.0)
"""How full a battery is at dusk where nobody says (our own, no source)."""

FURTHER = 3.0
"""How many nights long a battery is followed."""

ROUND_V = 0.05
"""Volts of a battery are looked at in steps of so much: trees need no new solving for less."""


def night_power(rig: Rig, happenings: Sequence[Happening] | None = None) -> PowerNight:
    """A night with what happens in it; a usual one where that is not given. Remembered by what it hangs on, since no
    plug of USB changes it."""
    if not rig.supplies:
        return PowerNight(night_seconds(rig))
    found = usual_happenings(rig) if happenings is None else tuple(happenings)
    return _night_of(AsPower(rig), found, night_seconds(rig))


@lru_cache(maxsize=64)
def _night_of(held: AsPower, happenings: tuple[Happening, ...], seconds: float) -> PowerNight:
    return _gathered(held.rig, [_Run(held.rig, happenings, level).run() for level in range(3)])


@dataclass(slots=True)
class _Track:
    """A battery while it runs: share of its charge left, and what is noted of it, s. `short` are the parts that lack
    volts already when a load is met first: those are no matter of its charge."""

    supply: Supply
    capacity: float
    left: float
    usable: float
    used_up_s: float | None = None
    flat_s: float | None = None
    out: tuple[float, str] | None = None
    short: dict[frozenset[str], set[str]] = field(default_factory=dict)
    at_dawn: float = 1.0


class _Run:
    """One night at one level."""

    def __init__(self, rig: Rig, happenings: Sequence[Happening], level: int) -> None:
        self.rig, self.level = rig, level
        self.seconds = night_seconds(rig)
        self.trees: tuple[FedTree, ...] = trees(rig)
        self.loads: dict[str, Drawing] = loads_of(rig)
        self.raised = [(each.at_s, each.at_s + each.lasts_s, raised_by(rig, each)) for each in happenings]
        self.floors = _floors(rig)
        self.tracks = {each.id: track for each in rig.supplies if (track := _track(rig, each, level)) is not None}
        self.times: list[float] = []
        self.volts: list[dict[str, float | None]] = []
        self.amps: list[dict[str, float | None]] = []
        self._before: dict[frozenset[str], list[Solution]] = {}
        self._solved: dict[tuple[frozenset[str], tuple[tuple[str, float], ...]], list[Solution]] = {}

    def run(self) -> _Run:
        """The night, and as long after it as batteries are followed."""
        for begin, end in self._stretches():
            raised = frozenset().union(*(names for at, until, names in self.raised if at <= begin < until))
            solutions = self._solutions(raised)
            night = begin < self.seconds
            if night:
                self._note(begin, solutions)
            self._drain(begin, end, solutions, raised, night)
            if not night and all(track.flat_s is not None for track in self.tracks.values()):
                break
        return self

    def _stretches(self) -> list[tuple[float, float]]:
        """From one change to the next, none longer than `STRETCH_S`; after dawn normal work goes on."""
        marks = {0.0, self.seconds}
        marks.update(end for at, until, _ in self.raised for end in (at, until) if end < self.seconds)
        marks.update(STRETCH_S * index for index in range(int(self.seconds // STRETCH_S) + 1))
        whole = sorted(marks)
        if self.tracks:
            steps = math.ceil((FURTHER - 1) * self.seconds / AFTER_DAWN_S)
            whole += [self.seconds + AFTER_DAWN_S * step for step in range(1, steps + 1)]
        return list(itertools.pairwise(whole))

    def _solutions(self, raised: frozenset[str]) -> list[Solution]:
        volts = {name: round(_volts(track, self.level) / ROUND_V) * ROUND_V for name, track in self.tracks.items()}
        key = raised, tuple(volts.items())
        if key not in self._solved:
            # What a converter draws hangs on no volts of its source: the joints are the same at all of them.
            before = self._before.get(raised)
            solutions = all_solved(self.trees, self.loads, "typical", self.level, raised, volts, before)
            self._solved[key] = self._before[raised] = solutions
        return self._solved[key]

    def _note(self, at: float, solutions: list[Solution]) -> None:
        here: dict[str, float | None] = {}
        drawn: dict[str, float | None] = {}
        for tree, solution in zip(self.trees, solutions, strict=True):
            flowing = solution.flowing
            off = self._is_off(tree)
            drawn[tree.source.id] = None if off or flowing is None else flowing.amps[0]
            for index, branch in enumerate(tree.branches):
                volts = None if off or flowing is None else flowing.volts[index + TERMINALS + 1]
                here.update(dict.fromkeys(branch.lead.ends, volts))
        self.times.append(at)
        self.volts.append(here)
        self.amps.append(drawn)

    def _is_off(self, tree: FedTree) -> bool:
        track = self.tracks.get(tree.source.id)
        return track is not None and track.flat_s is not None

    def _drain(
        self, begin: float, end: float, solutions: list[Solution], raised: frozenset[str], night: bool
    ) -> None:
        for tree, solution in zip(self.trees, solutions, strict=True):
            track = self.tracks.get(tree.source.id)
            if track is None or track.flat_s is not None:
                continue
            short = self._short(tree, solution)
            at_first = track.short.setdefault(raised, set(short))
            new = [name for name in short if name not in at_first]
            if track.out is None and new:
                track.out = begin, new[0]
            flowing = solution.flowing
            if flowing is None or flowing.volts[TERMINALS] < _ends_at(track.supply):
                track.flat_s = begin
                continue
            hours = (end - begin) / 3600
            share = used_share(track.supply, flowing.amps[0], hours, track.capacity)
            if track.used_up_s is None and track.left - share < 1 - track.usable:
                before = max(0.0, track.left - (1 - track.usable))
                track.used_up_s = begin + (end - begin) * min(1.0, before / share if share else 1.0)
            if share >= track.left:
                track.flat_s = begin + (end - begin) * track.left / share
            track.left = max(0.0, track.left - share)
            if night:
                track.at_dawn = track.left

    def _short(self, tree: FedTree, solution: Solution) -> list[str]:
        """The parts on a tree that get fewer than their lowest volts, those that lack most first."""
        if solution.flowing is None:
            ends = [end for branch in tree.branches for end in branch.lead.ends if end in self.floors]
            return sorted(ends, key=lambda end: (-self.floors[end], end))
        lack = sorted(
            (solution.flowing.volts[index + TERMINALS + 1] - self.floors[end], end)
            for index, branch in enumerate(tree.branches) if branch.steps is not None
            for end in branch.lead.ends if end in self.floors
        )  # fmt: skip
        return [end for least, end in lack if least < 0]


def _floors(rig: Rig) -> dict[str, float]:
    things = (*((part.id, window(part)[0]) for part in rig.parts), *((c.id, window(c)[0]) for c in rig.converters))
    return {name: floor for name, floor in things if floor is not None}


def _track(rig: Rig, supply: Supply, level: int) -> _Track | None:
    """A battery as it is at dusk; None for what is no battery, and for one of which capacity or kind is not known."""
    capacity = capacity_ah(supply, value_of(rig.night.facts.coldest_celsius))
    chemistry = value_of(supply.facts.chemistry)
    if not supply.is_battery or capacity is None or chemistry is None:
        return None
    charge = value_of(supply.facts.charge_percent)
    left = UNKNOWN_CHARGE[level] if charge is None else charge / 100
    usable = value_of(supply.facts.usable_percent, 100 * USABLE[chemistry]) / 100
    return _Track(supply, list(capacity)[level], left, usable, at_dawn=left)


def _volts(track: _Track, level: int) -> float:
    """At rest, by charge; no more than the file says it rests at, but at the high end."""
    chemistry = value_of(track.supply.facts.chemistry)
    assert chemistry is not None
    volts = rest_volts(chemistry, track.left)
    return volts if level == 2 else min(volts, track.supply.volts)


def _ends_at(supply: Supply) -> float:
    chemistry = value_of(supply.facts.chemistry)
    assert chemistry is not None
    return value_of(supply.facts.cut_off_volts, ENDS_AT[chemistry])


def _gathered(rig: Rig, runs: list[_Run]) -> PowerNight:
    likely = runs[1]
    plugs = [name for name in dict.fromkeys(name for here in likely.volts for name in here)
             if _is_plug(rig, name)]  # fmt: skip
    volts = tuple((name, tuple(_three(*(run.volts[index].get(name) for run in runs))
                               for index in range(len(likely.times)))) for name in plugs)  # fmt: skip
    amps = tuple((tree.source.id, tuple(here[tree.source.id] for here in likely.amps)) for tree in likely.trees)
    batteries = tuple(_battery([run.tracks[name] for run in runs], likely.seconds) for name in likely.tracks)
    return PowerNight(likely.seconds, tuple(likely.times), volts, amps, batteries)


def _is_plug(rig: Rig, name: str) -> bool:
    return any(each.id == name for each in rig.parts) or any(each.id == name for each in rig.converters)


def _three(low: float | None, likely: float | None, high: float | None) -> Range3 | None:
    if likely is None:
        return None
    return Range3.of(likely if low is None else low, likely, likely if high is None else high)


def _battery(tracks: list[_Track], seconds: float) -> BatteryNight:
    ends = FURTHER * seconds
    lasts = Range3.of(*((ends if track.used_up_s is None else track.used_up_s) / 3600 for track in tracks))
    outs = [(track.out[0], index, track.out[1]) for index, track in enumerate(tracks) if track.out is not None]
    before = [out for out in outs if out[0] < seconds]
    first = next((out for out in before if out[1] == 1), min(before, default=None))
    flat = tracks[1].flat_s
    return BatteryNight(
        tracks[1].supply.id, seconds / 3600, lasts, Range3.of(*(track.at_dawn for track in tracks)),
        None if first is None else first[2], None if first is None else first[0] / 3600,
        None if flat is None else flat / 3600,
    )  # fmt: skip


