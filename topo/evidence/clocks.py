"""One clock for everything: where each stretch of each file's clock lies on a common axis, and how well that is known.

Offsets come from what is on both clocks: lines with two stamps, a declared offset, or events that two files saw. Never
from what would make glitches fit downloads best: that would use up the evidence.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from topo.evidence.open import Source
from topo.frozen import frozen, replace
from topo.model.evidence import (
    Arrival,
    ClockKind,
    ClockSpan,
    ClockStep,
    Drop,
    EvidenceEvent,
    FrameData,
    FrameTime,
    Moment,
)

UNCHECKED_S = 1.0
"""Wall clocks of two files of one computer, as far as nobody checked them (common practice)."""
DECLARED_S = 1.0
QUARTER_S = 900.0
"""Time zones differ by multiples of 15 minutes."""
MOST_PPM = 200.0
LEAST_DRIFT_MATCHES = 8
LEAST_CHECKED = 2
"""Two files that disagree over one event alone may have seen two."""
SERIES_LEAST = 5
DELAY_S = 3.0
"""A file is closed, and a line written, up to so long after the download it tells of."""


@frozen
class ClockPlace:
    """Where a stretch of clock lies: its seconds plus `offset_s` are those of the axis, give or take `give_s`."""

    offset_s: float
    give_s: float
    how: str
    matches: int = 0


@frozen
class Axis:
    """The common clock. `placed` by (number of the source, its clock's name); endless `give_s`: could not be joined."""

    kind: ClockKind
    placed: Mapping[tuple[int, str], ClockPlace]
    zone_s: float | None = None
    notes: tuple[str, ...] = ()

    def at(self, source: int, moment: Moment) -> tuple[float, float] | None:
        """A moment on the axis, and how well it is known; None where its clock is not known at all."""
        place = self.placed.get((source, moment.clock))
        return None if place is None else (moment.seconds + place.offset_s, moment.give_s + place.give_s)


@dataclass(slots=True)
class _Joining:
    sources: Sequence[Source]
    offsets: Mapping[str, float]
    zone_s: float | None
    placed: dict[tuple[int, str], ClockPlace] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    first: int = -1


def join(sources: Sequence[Source], offsets: Mapping[str, float], zone_s: float | None) -> Axis:
    """The axis of all sources. As declared: `offsets` by file name, in s to add; `zone_s`, local time minus UTC."""
    work = _Joining(sources, offsets, zone_s if zone_s is not None else _zone(sources))
    kind = _kind(sources, work.zone_s)
    for number, source in enumerate(sources):
        for span in source.reading.spans if source.reading else ():
            _by_itself(work, kind, number, source, span)
    _by_matches(work, kind)
    _check_events(work)
    _check_downloads(work)
    _shift_before_steps(work)
    _put_apart(work)
    return Axis(kind, work.placed, work.zone_s, tuple(work.notes))


def offset_named(offsets: Mapping[str, float], name: str) -> float | None:
    """The offset that was declared for a file, under its whole name or the last part of it."""
    return offsets.get(name, offsets.get(name.replace("\\", "/").rsplit("/", 1)[-1]))


def _zone(sources: Sequence[Source]) -> float | None:
    """The zone that files agree on. UTC alone tells none, unless a watch of this computer wrote it."""
    told = {span.zone_s for source in sources if source.reading for span in source.reading.spans
            if span.zone_s is not None and (span.zone_s or source.reading.kind == "watch log")}
    return min(told) if len(told) == 1 else None


def _kind(sources: Sequence[Source], zone_s: float | None) -> ClockKind:
    spans = [span for source in sources if source.reading for span in source.reading.spans]
    to = [sync.to for source in sources if source.reading for sync in source.reading.syncs]
    if any(span.kind == "utc" for span in spans) or "utc" in to:
        return "utc"
    if any(span.kind == "local" for span in spans) or "local" in to:
        return "utc" if zone_s is not None else "local"
    return "boot" if any(span.kind == "boot" for span in spans) else "session"


def _by_itself(work: _Joining, kind: ClockKind, number: int, source: Source, span: ClockSpan) -> None:
    """Places a stretch by what its own file, or the person, tells."""
    key = (number, span.clock)
    give = UNCHECKED_S if work.first not in (-1, number) else 0.0
    if (declared := offset_named(work.offsets, source.name)) is not None:
        work.placed[key] = ClockPlace(declared, DECLARED_S, "as you gave it with --offset")
    elif span.kind == kind and kind in ("utc", "local"):
        work.placed[key] = ClockPlace(0.0, give, "its own wall clock")
    elif span.kind == "local" and work.zone_s is not None:
        work.placed[key] = ClockPlace(-work.zone_s, give, f"local time, UTC{work.zone_s / 3600:+g} h")
    elif source.reading is not None:
        for sync in source.reading.syncs:
            if sync.clock == span.clock and (sync.to == kind or (sync.to == "local" and work.zone_s is not None)):
                shift = -(work.zone_s or 0.0) if sync.to != kind else 0.0
                work.placed[key] = ClockPlace(sync.offset_s + shift, sync.give_s + give, sync.how)
    if key not in work.placed and kind in ("boot", "session") and work.first == -1 and span.kind == kind:
        work.placed[key] = ClockPlace(0.0, 0.0, "its own clock, which is the only one")
    if key in work.placed and work.first == -1 and declared is None:
        work.first = number


# -- by what two files saw --------------------------------------------------------------------------------------------

def _by_matches(work: _Joining, kind: ClockKind) -> None:
    """Places stretches that nothing else places by departures and arrivals that a placed one saw too."""
    for number, source in enumerate(work.sources):
        for span in source.reading.spans if source.reading else ():
            if (number, span.clock) in work.placed:
                continue
            best: ClockPlace | None = None
            for other, theirs in enumerate(work.sources):
                if other != number and theirs.reading is not None:
                    found = _matched(work, number, span, other)
                    if found is not None and (best is None or found.matches > best.matches):
                        best = found
            if best is not None:
                work.placed[(number, span.clock)] = best


def _matched(work: _Joining, number: int, span: ClockSpan, other: int) -> ClockPlace | None:
    mine = _seen(work.sources[number], lambda moment: moment.seconds if moment.clock == span.clock else None)

    def placed(moment: Moment) -> float | None:
        place = work.placed.get((other, moment.clock))
        return None if place is None else moment.seconds + place.offset_s

    theirs = _seen(work.sources[other], placed)
    pairs = [(a, b) for key, a_times in mine.items() if len(a_times) == len(theirs.get(key, ()))
             for a, b in zip(a_times, theirs[key], strict=True)]
    gives = [p.give_s for (n, _), p in work.placed.items() if n == other]
    return offset_of(pairs, max(gives, default=0.0))


def _seen(source: Source, time: object) -> dict[tuple[str, str, int], list[float]]:
    """Times at which each device number came or went, by what happened and where. A capture tells bus and number."""
    assert callable(time) and source.reading is not None
    found: dict[tuple[str, str, int], list[float]] = {}
    for event in source.reading.events:
        if isinstance(event, Drop | Arrival) and event.number is not None and not getattr(event, "answered", False):
            bus = event.path.split("-")[0].split(".")[0]
            if (seconds := time(event.at)) is not None:
                found.setdefault((type(event).__name__, bus, event.number), []).append(seconds)
    return found


def offset_of(pairs: Sequence[tuple[float, float]], give_s: float = 0.0) -> ClockPlace | None:
    """The offset between two clocks from pairs of times of the same events; None where they contradict each other.

    One side is late and never early (a line written, a look every few seconds), so the least difference is the offset;
    the spread of all is its uncertainty. Differences that stand apart from most are wrong matches and left out.
    """
    apart = sorted(b - a for a, b in pairs)
    if not apart:
        return None
    middle = statistics.median(apart)
    kept = [each for each in apart if abs(each - middle) <= DELAY_S]
    if len(kept) < max(1, math.ceil(0.6 * len(apart))):
        return None
    spread = kept[-1] - kept[0]
    if len(kept) == 1:
        return ClockPlace(kept[0], DELAY_S + give_s, "one event that both saw; unchecked", 1)
    give = max(spread, DELAY_S / len(kept)) + give_s + _drift(pairs)
    return ClockPlace(kept[0], give, f"{len(kept)} events that both saw", len(kept))


def _drift(pairs: Sequence[tuple[float, float]]) -> float:
    """What a difference in rate adds over the matches, in s (Theil and Sen's slope); 0 where they are too few."""
    if len(pairs) < LEAST_DRIFT_MATCHES:
        return 0.0
    ordered = sorted(pairs)
    span = ordered[-1][0] - ordered[0][0]
    if span < 3600:
        return 0.0
    step = max(1, len(ordered) // 100)
    some = ordered[::step]
    slopes = [((d[1] - d[0]) - (c[1] - c[0])) / (d[0] - c[0]) for i, c in enumerate(some) for d in some[i + 1:]
              if d[0] - c[0] > span / 4]
    slope = statistics.median(slopes) if slopes else 0.0
    return abs(slope) * span if abs(slope) <= MOST_PPM * 1e-6 else 0.0


def _check_events(work: _Joining) -> None:
    """Holds files that are placed against each other by what both saw; where they disagree, says by how much.

    Nobody knows which is right, so the later one is known no better than they disagree.
    """
    for number, source in enumerate(work.sources):
        for other in range(number):
            theirs = work.sources[other]
            if source.reading is None or theirs.reading is None:
                continue
            mine = [key for key in work.placed if key[0] == number]
            gives = [work.placed[key].give_s for key in work.placed if key[0] in (number, other)]
            found = offset_of(_pairs(work, number, other)) if gives else None
            if found is None or found.matches < LEAST_CHECKED or abs(found.offset_s) <= max(gives) + found.give_s:
                continue
            work.notes.append(f"the clocks of {source.name} and {theirs.name} are up to {abs(found.offset_s):.0f} s "
                              f"apart, by {found.how}; which is right is not known")
            for key in mine:
                old = work.placed[key]
                work.placed[key] = replace(old, give_s=max(old.give_s, abs(found.offset_s) + found.give_s))


def _pairs(work: _Joining, number: int, other: int) -> list[tuple[float, float]]:
    """Times, on the axis, of what two placed sources both saw."""
    def placed(source: int) -> dict[tuple[str, str, int], list[float]]:
        def time(moment: Moment) -> float | None:
            place = work.placed.get((source, moment.clock))
            return None if place is None else moment.seconds + place.offset_s

        return _seen(work.sources[source], time)

    mine, theirs = placed(number), placed(other)
    return [(a, b) for key, times in mine.items() if len(times) == len(theirs.get(key, ()))
            for a, b in zip(times, theirs[key], strict=True)]


# -- wall clocks held against each other ------------------------------------------------------------------------------

def _check_downloads(work: _Joining) -> None:
    """Holds files' closing times against frames in captures: a clock that is a zone off is named, not mended."""
    ends = _downloads(work)
    for number, source in enumerate(work.sources):
        frames = [e for e in source.reading.events if isinstance(e, FrameTime)] if source.reading else []
        closed = [e.closed.seconds + work.placed[(number, e.closed.clock)].offset_s for e in frames
                  if e.closed is not None and (number, e.closed.clock) in work.placed]
        if len(closed) < SERIES_LEAST or len(ends) < SERIES_LEAST:
            continue
        found = series_offset(closed, ends, DELAY_S)
        if found is None:
            continue
        for key in [key for key in work.placed if key[0] == number]:
            work.placed[key] = _checked(work, source.name, work.placed[key], found)


def _checked(work: _Joining, name: str, old: ClockPlace, found: ClockPlace) -> ClockPlace:
    quarters = round(found.offset_s / QUARTER_S)
    if quarters and abs(found.offset_s - quarters * QUARTER_S) <= DELAY_S:
        work.notes.append(f"the clock of {name} is {quarters * 15} min off against the capture: a time zone written as "
                          f"UTC? Say --offset to mend it")
        return replace(old, give_s=math.inf)
    if abs(found.offset_s) > DELAY_S:
        work.notes.append(f"the clock of {name} is {found.offset_s:+.1f} s off against the capture; mended by that")
        return replace(found, offset_s=old.offset_s + found.offset_s)
    return replace(old, give_s=min(old.give_s, found.give_s), how=f"{old.how}, checked by {found.how}",
                   matches=found.matches)


def _downloads(work: _Joining) -> list[float]:
    """Ends of the largest frames of a capture, on the axis."""
    bursts = [(n, e) for n, s in enumerate(work.sources) if s.reading for e in s.reading.events
              if isinstance(e, FrameData) and (n, e.at.clock) in work.placed]
    largest = max((e.size_bytes for _, e in bursts), default=0)
    return sorted(e.until.seconds + work.placed[(n, e.at.clock)].offset_s for n, e in bursts
                  if e.size_bytes > 0.8 * largest)


def series_offset(
    a: Sequence[float], b: Sequence[float], tolerance_s: float, reach_s: float = 50_400.0
) -> ClockPlace | None:
    """The one offset that lays nearly all of the shorter series on the other; None where none or several do.

    A strictly periodic series fits a longer one at every multiple of its period: then nothing is claimed.
    """
    short, long = (a, b) if len(a) <= len(b) else (b, a)
    sign = 1.0 if len(a) <= len(b) else -1.0
    fits: list[tuple[float, list[float]]] = []
    for shift in sorted({y - short[0] for y in long if abs(y - short[0]) <= reach_s}):
        if fits and shift - fits[-1][0] <= 2 * tolerance_s:
            continue
        apart = [min((y - x - shift for y in _near(long, x + shift, tolerance_s)), key=abs, default=math.nan)
                 for x in short]
        good = [each for each in apart if not math.isnan(each)]
        if len(good) >= 0.9 * len(short):
            fits.append((shift, good))
    if len(fits) != 1:
        return None
    shift, good = fits[0]
    offset = sign * (shift + statistics.median(good))
    return ClockPlace(offset, max(good) - min(good) + 0.05, f"{len(good)} downloads that both saw", len(good))


def _near(series: Sequence[float], time: float, tolerance_s: float) -> Sequence[float]:
    from bisect import bisect_left, bisect_right

    return series[bisect_left(series, time - tolerance_s):bisect_right(series, time + tolerance_s)]


def _shift_before_steps(work: _Joining) -> None:
    """What lies before a step of a wall clock is off by up to that step, since nobody knows which side was right."""
    for number, source in enumerate(work.sources):
        for event in source.reading.events if source.reading else ():
            key = (number, event.at.clock)
            if isinstance(event, ClockStep) and key in work.placed:
                step = abs(event.seconds or 0.0)
                old = work.placed[key]
                if old.matches == 0:
                    work.placed[key] = replace(old, give_s=old.give_s + step)


APART_S = 1e11
"""Stretches that cannot be joined lie so far apart that nothing in them seems to be together with anything."""


def _put_apart(work: _Joining) -> None:
    """Gives what could not be joined a place of its own, known to nothing: it is told, and held against nothing."""
    alone = 0
    for number, source in enumerate(work.sources):
        for span in source.reading.spans if source.reading else ():
            if (number, span.clock) not in work.placed:
                alone += 1
                work.placed[(number, span.clock)] = ClockPlace(alone * APART_S, math.inf, "not joined")


def events_on(axis: Axis, sources: Sequence[Source]) -> list[tuple[float, float, int, EvidenceEvent]]:
    """Every event: time on the axis, how well known (endless: not joined), source, event; in the order of time."""
    found = []
    for number, source in enumerate(sources):
        for event in source.reading.events if source.reading else ():
            if (when := axis.at(number, event.at)) is not None:
                found.append((*when, number, event))
    return sorted(found, key=lambda each: (each[0], each[2]))
