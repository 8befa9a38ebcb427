"""What the computer itself went through in a night: sleep, a new start, a clock that was set. None of it is a fault of
the rig, and each of it explains what would look like one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from topo.evidence.clocks import Axis
from topo.evidence.open import Source
from topo.model.answers import ComputerEvent
from topo.model.evidence import Asleep, Booted, ClockStep, Moment

LEAST_STEP_S = 1.0
"""A clock that is set by less changes nothing that is asked here."""
MOST_HAPPENINGS = 200


def happenings(axis: Axis, sources: Sequence[Source]) -> tuple[ComputerEvent, ...]:
    """Everything of the kind that the files tell, file by file, in order of time."""
    found: list[ComputerEvent] = []
    for number, source in enumerate(sources):
        if source.reading is not None:
            found += sorted(_of(axis, number, source), key=lambda each: each.line)
    return tuple(found[:MOST_HAPPENINGS])


def _of(axis: Axis, number: int, source: Source) -> Iterator[ComputerEvent]:
    events = source.reading.events if source.reading is not None else ()
    told = [event for event in events if isinstance(event, ClockStep) and event.seconds is not None]
    for event in events:
        line = event.at.line
        if isinstance(event, Asleep):
            until = None if event.until is None else _time(axis, number, event.until)
            yield ComputerEvent("slept", _time(axis, number, event.at), until, None, source.name, line)
        elif isinstance(event, Booted):
            yield ComputerEvent("started-again", _time(axis, number, event.at), None, None, source.name, line)
        elif isinstance(event, ClockStep):
            if event.seconds is None and any(abs(one.at.line - line) <= 1 for one in told):
                continue  # the log tells it in words as well
            if event.seconds is None or abs(event.seconds) >= LEAST_STEP_S:
                yield ComputerEvent("clock-set", _time(axis, number, event.at), None, event.seconds, source.name, line)


def _time(axis: Axis, number: int, moment: Moment) -> float | None:
    when = axis.at(number, moment)
    return when[0] if when is not None and math.isfinite(when[1]) else None
