"""Many nights taken together: how late guide frames come, and what that costs, in quantiles over phases and levels."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from random import Random
from typing import TYPE_CHECKING

from topo.frozen import frozen, replace
from topo.model.night import (
    DISCIPLINES,
    Cost,
    Discipline,
    GuideNight,
    Guiding,
    Lateness,
    Night,
    NightOutcome,
    NightPlan,
    Spread,
)
from topo.night.cost import Corner, CornerName, Pair, corner, cost, pairs_of, sway_of
from topo.night.run import Cast, Draw, run_night
from topo.night.stage import joined

if TYPE_CHECKING:
    from topo.night.channels import Moving

LEVEL_OF: Mapping[CornerName, str] = {"harsh": "low", "likely": "likely", "mild": "high"}
"""The throughput that goes with a corner: downloads are longest where it is low."""

DISCIPLINE_OF: Mapping[CornerName, Discipline] = {"harsh": "last", "likely": "last", "mild": "fair"}
"""Who is served first is not known: the mild corner takes it fair, the others that guide cameras come last."""

PICTURES, FEWEST_PICTURES = 64, 24
"""Pictures followed at each corner: enough for the one that 95 of 100 stay below. Long ones hold more events each, so
fewer are enough: those of `SHORT_S` open for as long together."""

SHORT_S = 120.0

NIGHTS = 8
"""Draws of phases at each corner."""


@frozen(slots=False)
class Nights:
    """The nights of one plan: the same plan and the links at each level of throughput, by name."""

    plan: NightPlan
    casts: Mapping[str, Cast]

    @cached_property
    def scarce(self) -> tuple[Sequence[Moving], ...]:
        """The flows in groups that scarce links join where links carry least."""
        cast = self.casts["low"]
        return tuple(joined(cast.flows, cast.capacities))

    def of(self, level: str, discipline: Discipline, draw: Draw) -> Night:
        """One of them."""
        return run_night(self.plan, self.casts[level], discipline, draw)


def costs_of(
    nights: Nights, guiding: Guiding, camera: str, draws: int = NIGHTS, seed: int = 0,
    corners: Iterable[CornerName] = tuple(LEVEL_OF),
) -> dict[CornerName, Cost]:
    """What the pictures of one camera cost at these corners, by name. Slices of nights, each at phases of its own. A
    corner is left out where no picture ends: so little stands for the night where some exposures are very short."""
    shooting = next(each for each in nights.plan.shooting if each.camera == camera)
    found: dict[CornerName, Cost] = {}
    for name in corners:
        here = corner(name, guiding, nights.plan.seeing_arcsec)
        followed = max(FEWEST_PICTURES, min(PICTURES, round(PICTURES * SHORT_S / shooting.exposure_s)))
        each_night = max(2, followed // draws)
        step = shooting.exposure_s + shooting.gap_s + nights.casts["low"].alone_s[camera]
        cut = min(nights.plan.seconds, (each_night + 2) * step)
        slices = Nights(replace(nights.plan, seconds=cut), nights.casts)
        pictures = _slices(slices, guiding, camera, here, draws, seed)
        if any(pictures):
            found[name] = cost(here, pictures, worst_night=name == "harsh")
    return found


def _slices(
    nights: Nights, guiding: Guiding, camera: str, here: Corner, draws: int, seed: int
) -> list[list[Pair]]:
    cast = nights.casts[LEVEL_OF[here.name]]
    after = cast.alone_s[guiding.camera] + cast.fixed_s[guiding.camera] + guiding.overhead_s.likely
    found = []
    for number in range(draws):
        night = nights.of(LEVEL_OF[here.name], DISCIPLINE_OF[here.name], Draw(seed + number))
        guide = next(each for each in night.guiding if each.camera == guiding.camera)
        shot = next(each for each in night.shooting if each.camera == camera)
        sway = sway_of(here, Random(f"{seed + number}/{camera}/mount"))
        if shot.pictures:
            found.append(pairs_of(sway, here, guiding, after, guide, shot, PICTURES))
    return found


def lateness(camera: str, cycle_s: float, nights: Sequence[Night], discipline: Discipline) -> Lateness:
    """How late the frames of one guide camera come, over many nights of one discipline."""
    guides = [next(each for each in night.guiding if each.camera == camera) for night in nights]
    late = [each for guide in guides for each in guide.late]
    frames = sum(guide.frames for guide in guides)
    over = [sum(each.frames for each in late if each.by_s > part * cycle_s) / max(1, frames) for part in (0.1, 0.5, 1)]
    lost = [(_lost(guide) * 3600.0 / night.seconds, 1) for guide, night in zip(guides, nights, strict=True)]
    return Lateness(
        discipline=discipline,
        frames=frames,
        spread=spread((each.by_s, each.frames) for each in late),
        share_tenth=over[0],
        share_half=over[1],
        share_cycle=over[2],
        met=_met(nights, camera),
        lost_per_h=spread(lost),
        first_lost_s=min((each.at_s for each in late if each.lost), default=math.inf),
        always_s=min((_always(guide) for guide in guides), default=0.0),
        never=any(each.by_s == math.inf for each in late),
    )


def _lost(guide: GuideNight) -> int:
    return sum(each.frames for each in guide.late if each.lost)


def _always(guide: GuideNight) -> float:
    """What every frame of a night is late by at the least."""
    late = sum(each.frames for each in guide.late)
    return min((each.by_s for each in guide.late), default=0.0) if late >= guide.frames else 0.0


def _met(nights: Sequence[Night], camera: str) -> float:
    """The share of downloads during which some guide frame came late."""
    met = downloads = 0
    for night in nights:
        guide = next(each for each in night.guiding if each.camera == camera)
        spans = sorted(span for shot in night.shooting for span in shot.downloads)
        downloads += len(spans)
        met += sum(bool(guide.late_within(begins, ends)) for begins, ends in spans)
    return met / downloads if downloads else 0.0


def spread(values: Iterable[tuple[float, int]]) -> Spread:
    """Typical (half stay below), most (95 of 100 stay below) and worst of values with their counts; 0 for none."""
    ordered = sorted(values)
    count = sum(number for _, number in ordered)
    if not count:
        return Spread(0.0, 0.0, 0.0)
    found = []
    for share in (0.5, 0.95):
        passed = 0
        for value, number in ordered:
            passed += number
            if passed > share * count:
                found.append(value)
                break
        else:
            found.append(ordered[-1][0])
    return Spread(found[0], found[1], ordered[-1][0])


def whole_nights(nights: Nights, count: int, seed: int) -> dict[Discipline, list[Night]]:
    """Whole nights under both disciplines: levels in turn, low, likely, high; phases by the seed."""
    levels = ("low", "likely", "high")
    return {
        discipline: [nights.of(levels[number % 3], discipline, Draw(seed + number)) for number in range(count)]
        for discipline in DISCIPLINES
    }


def outcome_of(nights: Nights, whole: Mapping[Discipline, Sequence[Night]]) -> NightOutcome:
    """All nights in quantiles. Sentences are added by who knows the rig."""
    everything = [night for found in whole.values() for night in found]
    late = tuple(
        (each.camera, tuple(
            lateness(each.camera, cycle_of(each, nights.casts["likely"]), whole[discipline], discipline)
            for discipline in DISCIPLINES
        ))
        for each in nights.plan.guiding
    )
    return NightOutcome(len(everything), nights.plan.seconds, late, ())


def cycle_of(guiding: Guiding, cast: Cast) -> float:
    """Seconds from the start of one guide exposure to the next, with nothing else on the links."""
    return guiding.exposure_s + cast.alone_s[guiding.camera] + cast.fixed_s[guiding.camera] + guiding.overhead_s.likely


