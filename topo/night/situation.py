"""What one guide camera's night depends on, and nothing else: equal situations cost the same, so they are run once.

A rig changed by a proposal mostly leaves a guide camera beside the same others. Links are known by their number here,
so the same sharing in another socket is the same situation.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property, lru_cache
from random import Random
from typing import TYPE_CHECKING

from topo.frozen import replace
from topo.model.traffic import Use
from topo.night.channels import Moving
from topo.night.cost import corner as corner_of
from topo.night.cost import cost, is_spoiled, worst_pairs
from topo.night.meet import all_wait, meeting_of, without_slight
from topo.night.outcome import SHORT_S, Nights, costs_of, cycle_of, lateness
from topo.night.planned import simulated_s
from topo.night.run import Cast, Draw
from topo.night.stage import joined

if TYPE_CHECKING:
    from topo.model.facts import Range3
    from topo.model.night import Cost, Discipline, Guiding, Lateness, NightPlan, Shooting
    from topo.night.cost import CornerName, Pair
    from topo.night.meet import Met

SLICE, SLICES = 12, 4
"""Pictures in a slice of a night, and draws of phases at each level, for how late frames come."""

MOST_WORST, FEWEST_WORST = 40, 20
"""Pictures followed at the worst phases."""

MOST_KEPT = 2048
"""Situations remembered."""

Others = tuple[tuple[float, float, bool], ...]
"""Downloads that make guide frames late: seconds from one to the next, lateness, whether of the camera itself."""

Figures = tuple[tuple[str, float], ...]


class Links:
    """A `Cast` that can be remembered. Never changed, and made by `_links` alone, so that equal ones are one value."""

    def __init__(
        self, level: str, flows: tuple[Moving, ...], capacities: Figures, sizes: Figures, alone_s: Figures,
        fixed_s: Figures,
    ) -> None:
        self.level, self.flows, self.capacities, self.sizes = level, flows, capacities, sizes
        self.alone_s, self.fixed_s = alone_s, fixed_s
        self._met: dict[tuple[frozenset[str], Discipline], Mapping[str, Met]] = {}

    def cast(self) -> Cast:
        """The cast it stands for."""
        return Cast(self.level, self.flows, dict(self.capacities), dict(self.sizes), dict(self.alone_s),
                    dict(self.fixed_s))

    @cached_property
    def waiting(self) -> Links:
        """The same with cameras that all wait."""
        return _links(self.level, all_wait(self.flows), self.capacities, self.sizes, self.alone_s, self.fixed_s)

    @cached_property
    def _seconds(self) -> dict[str, float]:
        return dict(self.capacities)

    @cached_property
    def _bytes(self) -> dict[str, float]:
        return dict(self.sizes)

    def met(self, kept: frozenset[str], discipline: Discipline) -> Mapping[str, Met]:
        """The worst coincidence of some of its flows."""
        key = kept, discipline
        if key not in self._met:
            some = [flow for flow in self.flows if flow.name in kept]
            self._met[key] = meeting_of(some, self._seconds, self._bytes, discipline)
        return self._met[key]


_links = lru_cache(maxsize=MOST_KEPT)(Links)


class Situation:
    """A guide camera with all that can hold its frames back and all that take pictures meanwhile.

    Never changed, and made by `_same` alone, so that equal ones are one value: what is remembered of it is found by
    identity, since to hash all of it each time costs more than most of what is asked.
    """

    def __init__(self, guide: str, plan: NightPlan, links: tuple[Links, ...]) -> None:
        self.guide, self.plan, self.links = guide, plan, links

    def nights(self) -> Nights:
        """Its nights."""
        return Nights(self.plan, {each.level: each.cast() for each in self.links})

    @cached_property
    def guiding(self) -> Guiding:
        """The loop of its guide camera."""
        return next(each for each in self.plan.guiding if each.camera == self.guide)

    @cached_property
    def pictures(self) -> tuple[Shooting, ...]:
        """The cameras that take pictures meanwhile."""
        return tuple(shot for shot in self.plan.shooting if shot.pictures)

    @cached_property
    def waiting(self) -> Situation:
        """The same with cameras that all wait: what is lost, if anything, is judged elsewhere."""
        links = tuple(each.waiting for each in self.links)
        return self if links == self.links else _same(self.guide, self.plan, links)

    def at(self, level: str) -> Links:
        """Its links at one level of throughput."""
        return next(each for each in self.links if each.level == level)

    @cached_property
    def others(self) -> tuple[str, ...]:
        """The flows that a scarce link joins with the guide camera, in their order."""
        cast = self.links[0].cast()
        return tuple(name for name in _group(cast, joined(cast.flows, cast.capacities), self.guide)
                     if name != self.guide)

    @cached_property
    def bursts(self) -> tuple[str, ...]:
        """The cameras of single frames that hold the guide camera up, in the order of the file."""
        steady = {flow.name for flow in self.links[0].flows if flow.steady}
        return tuple(name for name in self.others if name not in steady)


_same = lru_cache(maxsize=MOST_KEPT)(Situation)


def situation(nights: Nights, guide: str) -> Situation:
    """What the night of one guide camera depends on."""
    group = _group(nights.casts["low"], nights.scarce, guide)
    # Which guide camera keeps a picture's star still is not declared: each may, and unknown is never milder.
    shooting = tuple(
        replace(each, guided_by=guide if each.camera in group and each.guided_by else None)
        for each in nights.plan.shooting if each.camera in group or each.pictures
    )
    kept = [flow.name for flow in nights.casts["low"].flows if flow.name in group]
    apart = tuple(each.camera for each in shooting if each.camera not in group)
    guiding = tuple(each for each in nights.plan.guiding if each.camera in kept)
    copying = tuple(each for each in nights.plan.copying if each.flow in kept)
    alone = {**nights.casts["likely"].alone_s, **dict.fromkeys(apart, 0.0)}
    seconds = simulated_s(nights.plan.planned_s or nights.plan.seconds, (*guiding, *shooting), copying, alone)
    plan = replace(nights.plan, seconds=seconds, shooting=shooting, guiding=guiding, copying=copying, assumed=(),
                   planned_s=0.0)
    numbers: dict[str, str] = {}
    named = set(kept)
    uses: dict[str, tuple[Use, ...]] = {}
    for flow in (flow for cast in nights.casts.values() for flow in cast.flows):
        if flow.name in named and flow.name not in uses:
            uses[flow.name] = tuple(
                Use(numbers.setdefault(use.resource, str(len(numbers))), use.seconds_per_byte) for use in flow.uses)
    return _same(guide, plan, tuple(_only(cast, uses, apart, numbers) for cast in nights.casts.values()))


def _group(cast: Cast, scarce: Iterable[Sequence[Moving]], guide: str) -> tuple[str, ...]:
    """The flows that a scarce link joins with a guide camera, itself among them, without those too slight to matter.
    `scarce`: the flows in groups that such links join."""
    for members in scarce:
        if any(flow.name == guide for flow in members):
            links = {use.resource for flow in members if flow.name == guide for use in flow.uses}
            return tuple(flow.name for flow in without_slight(members, cast.capacities, links))
    return (guide,)


def _only(
    cast: Cast, uses: Mapping[str, tuple[Use, ...]], apart: tuple[str, ...], numbers: Mapping[str, str]
) -> Links:
    """The links of some flows, by number. Cameras that are `apart` only open and close their shutters: where they are
    plugged in and how long they download does not matter here, so their pictures follow each other without a pause."""
    flows = tuple(replace(flow, uses=uses[flow.name]) for flow in cast.flows if flow.name in uses)
    sizes = {numbers[name]: size for name, size in cast.capacities.items() if name in numbers}
    nothing = tuple((name, 0.0) for name in apart)
    return _links(
        cast.level, (*flows, *(Moving(name, 1.0, 1.0, ()) for name in apart)), tuple(sorted(sizes.items())),
        *((*((name, value) for name, value in figures.items() if name in uses), *nothing)
          for figures in (cast.sizes, cast.alone_s, cast.fixed_s)),
    )


@lru_cache(maxsize=MOST_KEPT)
def costs(here: Situation, camera: str, corner: CornerName) -> Cost | None:
    """What the sharing of a situation does to one camera's pictures at one corner of what is assumed: over nights at
    random phases; None where no picture ends in what is simulated."""
    return costs_of(here.nights(), here.guiding, camera, corners=(corner,)).get(corner)


class Worst:
    """One camera's pictures at the harsh corner and the worst phases, followed as far as anybody asks: no nights, since
    every meeting is at its worst."""

    def __init__(
        self, guiding: Guiding, seeing: Range3, camera: str, exposure_s: float, after_s: float, always_s: float,
        others: Others,
    ) -> None:
        self.corner = corner_of("harsh", guiding, seeing)
        self.count = max(FEWEST_WORST, min(MOST_WORST, round(MOST_WORST * SHORT_S / exposure_s)))
        dice = Random(f"{guiding.camera}/{camera}/worst")
        self._more = worst_pairs(self.corner, guiding, after_s, exposure_s, always_s, others, self.count, dice)
        self._pairs: list[Pair] = []
        self._spoiled = 0

    @cached_property
    def cost(self) -> Cost:
        """What they cost, all of them followed."""
        self._pairs += self._more
        return cost(self.corner, [self._pairs], worst_night=False)

    def spoils(self, share: float, most: int) -> bool:
        """Whether at least this share of them is spoiled, where the first of them, `most` at the most, tell."""
        if "cost" in self.__dict__:
            return self.cost.spoiled >= share
        while self._spoiled / self.count < share:
            pair = next(self._more, None) if len(self._pairs) < most else None
            if pair is None:
                return False
            self._pairs.append(pair)
            self._spoiled += is_spoiled(self.corner, pair)
        return True


_worst = lru_cache(maxsize=MOST_KEPT)(Worst)
"""By what it hangs on and nothing else, so that many situations share it."""


def harshest(here: Situation, camera: str, after_s: float, always_s: float, others: Others) -> Worst:
    """One camera's pictures at the harshest."""
    exposure = next(each.exposure_s for each in here.plan.shooting if each.camera == camera)
    return _worst(here.guiding, here.plan.seeing_arcsec, camera, exposure, after_s, always_s, others)


@lru_cache(maxsize=MOST_KEPT)
def took_s(here: Situation, level: str, discipline: Discipline, beside: tuple[str, ...] | None = None) -> float:
    """Seconds of the guide camera's transfer in the worst coincidence at one level, where all wait: with everything, or
    only with these and all that is steady."""
    return here.at(level).waiting.met(_beside(here, level, beside), discipline)[here.guide].took_s


def worst_met(here: Situation) -> Mapping[str, Met]:
    """What becomes of everybody's frame in the worst coincidence where links carry least, where all wait and guide
    cameras are served last."""
    return here.at("low").waiting.met(_beside(here, "low", None), "last")


@lru_cache(maxsize=MOST_KEPT)
def lost_after_s(
    here: Situation, level: str, discipline: Discipline, beside: tuple[str, ...] | None = None,
    doubted: frozenset[str] = frozenset(),
) -> float:
    """Seconds until its first byte is lost in the same coincidence, with the buffers there are; inf where none is.
    Without steady flows that are `doubted`."""
    links = here.at(level)
    if all(math.isinf(flow.buffer_bytes) for flow in links.flows if flow.name == here.guide):
        return math.inf
    return links.met(_beside(here, level, beside, doubted), discipline)[here.guide].lost_after_s


def _beside(
    here: Situation, level: str, beside: tuple[str, ...] | None, doubted: frozenset[str] = frozenset()
) -> frozenset[str]:
    """The flows that are there."""
    flows = here.at(level).flows
    if beside is None:
        return frozenset(flow.name for flow in flows)
    return frozenset(
        flow.name for flow in flows
        if (flow.steady and flow.name not in doubted) or flow.name == here.guide or flow.name in beside
    )


@lru_cache(maxsize=MOST_KEPT)
def lateness_of(here: Situation, discipline: Discipline) -> Lateness:
    """How late its frames come under one discipline: slices of nights, at random phases, at every level in turn."""
    met = set(here.bursts)
    alone = dict(here.at("likely").alone_s)
    step = max((each.exposure_s + each.gap_s + alone[each.camera] for each in here.plan.shooting if each.camera in met),
               default=60.0)
    plan = replace(here.plan, seconds=min(here.plan.seconds, SLICE * step))
    nights = replace(here.waiting.nights(), plan=plan)
    drawn = [nights.of(each.level, discipline, Draw(seed)) for seed in range(SLICES) for each in here.links]
    return lateness(here.guide, cycle_of(here.guiding, nights.casts["likely"]), drawn, discipline)
