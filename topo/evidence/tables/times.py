"""Times in cells: seconds since something, seconds of 1970, ISO times, and times of day that pass midnight."""

from __future__ import annotations

import re

from topo.evidence.kernel.prefixes import iso
from topo.evidence.tables.columns import number_of
from topo.frozen import frozen
from topo.model.evidence import ClockKind, ClockSpan, ClockStep, Moment

_DAY_S = 86_400.0
_OF_DAY = re.compile(r"(\d{1,2}):(\d\d):(\d\d(?:[.,]\d{1,6})?)")
_ISO = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d([.,]\d{1,9})?)?(Z|[+-]\d\d:?\d\d)?")
EPOCH_S = 6e8
"""A number beyond this is seconds since 1970 (1989 and later); below, since the start of a session."""


@frozen
class TimeRead:
    """A time read: seconds, the kind of its clock, the zone where told, and how far it is known."""

    seconds: float
    kind: ClockKind
    zone_s: float | None = None
    resolution_s: float = 0.0


def time_of(text: str, comma: bool) -> TimeRead | None:
    """A time as cells have it; None for what is none."""
    text = text.strip()
    if (value := number_of(text, comma)) is not None:
        digits = len(text.partition("," if comma else ".")[2])
        return TimeRead(value, "utc" if value > EPOCH_S else "session", 0.0 if value > EPOCH_S else None,
                    0.0 if digits else 1.0)
    if _ISO.fullmatch(text):
        try:
            seconds, zone, whole = iso(text.replace(" ", "T"))
        except (ValueError, OverflowError):
            return None
        return TimeRead(seconds, "local" if zone is None else "utc", zone, 1.0 if whole else 0.0)
    if (found := _OF_DAY.fullmatch(text)) is not None:
        hours, minutes, rest = int(found[1]), int(found[2]), float(found[3].replace(",", "."))
        if hours < 24 and minutes < 60 and rest < 61:
            return TimeRead(hours * 3600 + minutes * 60 + rest, "session", None, 0.0 if "." in found[3] else 1.0)
    return None


class Times:
    """Turns cells into moments: sessions one after the other, midnights passed, clock steps noted."""

    def __init__(self, comma: bool) -> None:
        self.steps: list[ClockStep] = []
        self._comma = comma
        self._ends: dict[str, list[float]] = {}
        self._reads: dict[str, TimeRead] = {}
        self._sessions = 1
        self._last: dict[str, float] = {}
        self._days = 0

    def new_session(self) -> None:
        """What counts from a session's start counts from another one now."""
        self._sessions += 1
        self._days = 0

    def moment(self, text: str | None, line: int, keep_order: bool = True) -> Moment | None:
        """The moment a cell tells, or None."""
        read = time_of(text, self._comma) if text else None
        if read is None:
            return None
        seconds = read.seconds
        if read.kind == "session" and ":" in (text or ""):
            clock = "local-day"
            seconds += self._days * _DAY_S
            last = self._last.get(clock)
            if keep_order and last is not None and seconds < last - _DAY_S / 2:
                self._days += 1
                seconds += _DAY_S
        elif read.kind == "session":
            if keep_order and seconds < self._last.get(f"session-{self._sessions}", seconds) - 0.5:
                self.new_session()
            clock = f"session-{self._sessions}"
        else:
            clock = read.kind
            last = self._last.get(clock)
            if keep_order and last is not None and seconds < last - 1.0:
                self.steps.append(ClockStep(Moment(last, clock, 0.0, line), round(seconds - last, 3)))
        if keep_order:
            self._last[clock] = seconds
        return self._at(clock, read, seconds, line)

    def _at(self, clock: str, read: TimeRead, seconds: float, line: int) -> Moment:
        ends = self._ends.setdefault(clock, [seconds, seconds])
        if seconds < ends[0]:
            ends[0] = seconds
        elif seconds > ends[1]:
            ends[1] = seconds
        self._reads[clock] = read
        return Moment(seconds, clock, read.resolution_s / 2, line)

    def spans(self) -> tuple[ClockSpan, ...]:
        """Every stretch of clock there was."""
        return tuple(
            ClockSpan(clock, "session" if clock == "local-day" else self._reads[clock].kind, first, last,
                      self._reads[clock].resolution_s, self._reads[clock].zone_s)
            for clock, (first, last) in self._ends.items()
        )
