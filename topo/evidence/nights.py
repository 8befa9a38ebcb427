"""Several nights laid over each other: does something go wrong at the same clock hour, the same time since the start,
or the same attitude of the sky?

Three clocks go round: the day (86,400 s), the night since its log begins, and the sidereal day (86,164.1 s), by which a
telescope points the same way again. On each clock the test takes every event in turn as the edge of a window of twenty
minutes and counts the nights with an event in it. If times were chance, each night would hit the window with a chance
that follows from how much of the window its log covers and how many events it has, and nights are independent: the
chance of as many hits is worked out in full (Poisson-binomial), and multiplied by the number of events tried and by the
three clocks (Bonferroni). No random number, no average. Fewer than three nights say nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from topo.frozen import frozen, replace
from topo.model.answers import NIGHT_CLOCKS, NightClock, OverNights
from topo.model.evidence import Gap

if TYPE_CHECKING:
    from topo.evidence.clocks import Axis
    from topo.evidence.open import Source

DAY_S = 86_400.0
SIDEREAL_S = 86_164.0905
"""Mean sidereal day in seconds of mean solar time (Explanatory Supplement to the Astronomical Almanac)."""

WINDOW_S = 1200.0
LEAST_NIGHTS = 3
SURE_BELOW = 0.05
APART_FACTOR, APART_S = 1.5, 60.0
"""A clock fits as well as the best where its hits are as many and lie within so much of the best one's spread."""

LEAST_NIGHT_S = 1800.0
"""A shorter log is no night."""

MOST_NIGHT_S = 36_000.0
"""A computer that is never off logs all day, and its rig is at work for so long of it at the most: chance is worked out
as if all events had to fall into that."""


MOST_NIGHTS = 1_000
"""A log that says it goes over more has a time in it that is wrong."""


@frozen
class LoggedNight:
    """One night: what a log covers, in seconds on the axis (local time), and when something went wrong in it."""

    begins: float
    ends: float
    events: tuple[float, ...]

    @property
    def lasts(self) -> float:
        """Seconds covered."""
        return self.ends - self.begins


def nights_in(axis: Axis, sources: Sequence[Source], events: Iterable[float]) -> tuple[LoggedNight, ...]:
    """The nights that logs cover, cut at local noon, in order; their events with them. None without a wall clock."""
    if axis.kind not in ("utc", "local"):
        return ()
    local = (axis.zone_s or 0.0) if axis.kind == "utc" else 0.0
    stretches: dict[int, list[tuple[float, float]]] = {}
    for number, source in enumerate(sources):
        for span in source.reading.spans if source.reading and source.reading.covers else ():
            place = axis.placed[(number, span.clock)]
            if not math.isfinite(place.give_s) or span.last_s - span.first_s > MOST_NIGHTS * DAY_S:
                continue
            for begins, ends in _without_gaps(source, span.clock, span.first_s, span.last_s):
                _cut(stretches, begins + place.offset_s + local, ends + place.offset_s + local)
    times = [event + local for event in events]
    found = []
    for day in sorted(stretches):
        begins, ends = min(a for a, _ in stretches[day]), max(b for _, b in stretches[day])
        found.append(LoggedNight(begins, ends, tuple(sorted(t for t in times if begins <= t <= ends))))
    return tuple(found)


def _without_gaps(source: Source, clock: str, begins: float, ends: float) -> list[tuple[float, float]]:
    """A stretch of clock without the times in which nobody looked."""
    found, here = [], begins
    for event in source.reading.events if source.reading else ():
        if isinstance(event, Gap) and event.at.clock == clock:
            found.append((here, event.at.seconds))
            here = event.at.seconds + event.seconds
    return [*found, (here, ends)]


def _cut(stretches: dict[int, list[tuple[float, float]]], begins: float, ends: float) -> None:
    """Puts a stretch under the day whose noon it comes after, cut at noons."""
    while begins < ends:
        day = math.floor((begins - DAY_S / 2.0) / DAY_S)
        noon = (day + 1.5) * DAY_S
        if min(ends, noon) - begins >= LEAST_NIGHT_S:
            stretches.setdefault(day, []).append((begins, min(ends, noon)))
        begins = noon


def over_nights(nights: Sequence[LoggedNight]) -> tuple[OverNights, ...]:
    """What is shown, the likeliest first; nothing where no clock shows it. Clocks that fit as well are named."""
    if len(nights) < LEAST_NIGHTS:
        return ()
    best = [each for clock in NIGHT_CLOCKS if (each := _on(clock, nights)) is not None and each.p < SURE_BELOW]
    if not best:
        return ()
    first = min(best, key=lambda each: (-each.hits, each.spread_s, each.p))
    alike = tuple(each.clock for each in best if each is not first and each.hits >= first.hits
                  and each.spread_s <= APART_FACTOR * first.spread_s + APART_S)
    return (replace(first, alike=alike),)


def _on(clock: NightClock, nights: Sequence[LoggedNight]) -> OverNights | None:
    """The window with the least chance on one clock, with its corrected chance; None where none holds three nights."""
    round_s = {"clock-hour": DAY_S, "since-start": math.inf, "attitude": SIDEREAL_S}[clock]
    total = sum(len(night.events) for night in nights)
    found: OverNights | None = None
    for number, night in enumerate(nights):
        for event in night.events:
            edge = _reading(clock, night, event, round_s)
            inside = [_inside(clock, each, edge, round_s) for each in nights]
            hit = [times for times in inside if times]
            if len(hit) < LEAST_NIGHTS:
                continue
            others = [_chance(clock, each, edge, round_s) for place, each in enumerate(nights) if place != number]
            p = min(1.0, tail(others, len(hit) - 1) * total * len(NIGHT_CLOCKS))
            if found is None or (p, -len(hit)) < (found.p, -found.hits):
                firsts = [min(times) for times in hit]
                spread = max(firsts) - min(firsts)
                at = edge + sorted(firsts)[len(firsts) // 2]
                found = OverNights(clock, len(nights), len(hit), total,
                                   at % round_s if math.isfinite(round_s) else at, spread, p)
    return found


def _reading(clock: NightClock, night: LoggedNight, when: float, round_s: float) -> float:
    return when - night.begins if clock == "since-start" else when % round_s


def _inside(clock: NightClock, night: LoggedNight, edge: float, round_s: float) -> list[float]:
    """How far past the window's edge a night's events in it lie."""
    past = [_reading(clock, night, each, round_s) - edge for each in night.events]
    past = [each % round_s for each in past] if math.isfinite(round_s) else past
    return [each for each in past if 0.0 <= each <= WINDOW_S]


def _chance(clock: NightClock, night: LoggedNight, edge: float, round_s: float) -> float:
    """The chance that a night with as many events at any times has one in the window."""
    if clock == "since-start":
        covered = max(0.0, min(edge + WINDOW_S, night.lasts) - max(edge, 0.0))
    else:
        first = math.floor((night.begins - edge - WINDOW_S) / round_s)
        last = math.ceil((night.ends - edge) / round_s)
        covered = math.fsum(
            max(0.0, min(edge + turn * round_s + WINDOW_S, night.ends) - max(edge + turn * round_s, night.begins))
            for turn in range(first, last + 1)
        )
    share = min(1.0, covered / min(night.lasts, MOST_NIGHT_S))
    return float(1.0 - (1.0 - share) ** len(night.events))


def tail(chances: Sequence[float], least: int) -> float:
    """The chance that at least so many of independent events come true (Poisson-binomial, in full)."""
    exactly = [1.0]
    for chance in chances:
        exactly = [
            (exactly[k] if k < len(exactly) else 0.0) * (1.0 - chance) + (exactly[k - 1] * chance if k else 0.0)
            for k in range(len(exactly) + 1)
        ]
    return math.fsum(exactly[least:]) if least < len(exactly) else 0.0
