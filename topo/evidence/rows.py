"""Rows of the timeline: a part each with its state, downloads and other actions, and the guide error beneath."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from topo.evidence.clocks import Axis
from topo.evidence.open import Source
from topo.evidence.presence import Presence, gaps
from topo.evidence.series import Series, Windows
from topo.model.answers import Away, TimelineRow
from topo.model.evidence import GuideSample, OverCurrent, PortTrouble, Reset

MOST_TIMELINE_ROWS = 40
MOST_POINTS = 2_000


def rows_of(
    axis: Axis, sources: Sequence[Source], away: Sequence[Away], windows: Sequence[Windows],
    series: Sequence[Series], names: Mapping[str, str], there: Presence, ours: Sequence[str],
) -> tuple[TimelineRow, ...]:
    """Rows in a fixed order: what the rig did, guide frames, the parts `ours` with their state, unseen ones last.

    In the row of a part, all time in which no file would have shown its going is `untold`, so that nobody takes what
    was not looked at for health. What else left or had trouble has a row too.
    """
    sure = [drop for drop in away if math.isfinite(drop.give_s)]
    ends = [drop.at_s for drop in sure] + [t for w in windows for s in w.stretches for t in s]
    ends += [t for one in series for t in one.due[:1] + one.due[-1:]]
    ends += [t for stretches in there.stretches.values() for s in stretches for t in s]
    first, last = min(ends, default=0.0), max(ends, default=0.0)
    rows = [TimelineRow(_plural(w.cause), tuple((a, b, "busy") for a, b in w.stretches)) for w in windows]
    for one in series:
        marks = sorted([(t, "late") for t, _ in one.late] + [(t, "lost") for t in one.lost]
                       + [(t, "jump") for t, *_ in one.jumps])
        rows.append(TimelineRow(f"guide frames, {_short(one.name)}", (), tuple(marks)))
    parts: dict[str, tuple[list[tuple[float, float, str]], list[tuple[float, str]]]] = {}
    parts = {name: ([], []) for name in dict.fromkeys(ours) if name in there.stretches}
    for drop in sure:
        stretches, marks = parts.setdefault(drop.name, ([], []))
        state = "asleep" if drop.asleep else "away"
        stretches.append((drop.at_s, drop.back_s if drop.back_s is not None else max(last, drop.at_s), state))
        marks.append((drop.at_s, "dropped"))
    for at, path, what in _marks(axis, sources):
        parts.setdefault(names.get(path, path), ([], []))[1].append((at, what))
    for name, (stretches, marks) in parts.items():
        known = there.stretches.get(name, ())
        untold = gaps((*known, *((a, b) for a, b, _ in stretches)), first, last)
        rows.append(TimelineRow(name, (*((a, b, "untold") for a, b in untold), *((a, b, "there") for a, b in known),
                                       *stretches), tuple(marks)))
    if last > first:
        rows += [TimelineRow(name, ((first, last, "untold"),)) for name in there.unseen]
    return tuple(rows[:MOST_TIMELINE_ROWS])


def _plural(cause: str) -> str:
    return {"download": "downloads", "dither": "dithers", "slew": "slews", "focus": "focus moves",
            "filter": "filter changes"}.get(cause, cause)


def _short(name: str) -> str:
    return name.replace("\\", "/").rsplit("/", 1)[-1]


def _marks(axis: Axis, sources: Sequence[Source]) -> list[tuple[float, str, str]]:
    found = []
    for number, source in enumerate(sources):
        for event in source.reading.events if source.reading else ():
            if isinstance(event, OverCurrent | PortTrouble) or (isinstance(event, Reset) and event.why == "unknown"):
                when = axis.at(number, event.at)
                if when is not None and math.isfinite(when[1]):
                    word = "over-current" if isinstance(event, OverCurrent) else (
                        "reset" if isinstance(event, Reset) else "no answer")
                    found.append((when[0], event.path, word))
    return found


def errors_of(axis: Axis, sources: Sequence[Source]) -> tuple[tuple[str, float, float], ...]:
    """Guide errors as (unit, time, size), thinned to what a picture can show, the largest of each stretch kept."""
    found: list[tuple[str, float, float]] = []
    for number, source in enumerate(sources):
        if source.reading is None:
            continue
        for event in source.reading.events:
            if isinstance(event, GuideSample) and event.first is not None:
                when = axis.at(number, event.at)
                if when is not None and math.isfinite(when[1]):
                    found.append((source.reading.unit, when[0], math.hypot(event.first, event.second or 0.0)))
    step = max(1, math.ceil(len(found) / MOST_POINTS))
    return tuple(max(found[n:n + step], key=lambda each: each[2]) for n in range(0, len(found), step))
