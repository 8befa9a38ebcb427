"""The clocks of a kernel log: its pieces between boots, pastes and clock steps, and how its two clocks lie together.

A line with both a boot stamp and a wall time keeps the boot stamp, which nobody sets; the wall times then give the
offset between the two. A message is received after it happened, never before, so the least difference is the offset.
"""

from __future__ import annotations

from topo.evidence.kernel.lines import Message
from topo.evidence.kernel.prefixes import Stamp
from topo.model.evidence import ClockSpan, ClockStep, Moment, Sync

FELL_S = 0.5
"""A boot stamp that falls by more starts another piece: another boot, or another paste."""
STEP_S = 2.0
"""Two clocks that part by more have been stepped, unless the computer slept."""
SETTLED_S = 120.0
"""Before so much uptime the log is written late, so that its two clocks part by themselves (common practice)."""
EXACT_GIVE_S = 0.001
WHOLE_GIVE_S = 0.5
COMPUTED_GIVE_S = 1.0
HALF_MINUTE_S = 30.0
SUMMED = "dmesg, differences"


class Pieces:
    """Gives every message its moment, and knows all pieces at the end. `restarts` counts those the file names."""

    def __init__(self) -> None:
        self.steps: list[ClockStep] = []
        self._spans: dict[str, ClockSpan] = {}
        self._offsets: dict[str, tuple[float, float, str]] = {}
        self._boots = 0
        self.restarts = 0
        self._walls = 0
        self._clock = ""
        self._boot_id = ""
        self._last: float | None = None
        self._base: float | None = None
        self._odd: float | None = None
        self._slept = False
        self._summed = 0.0
        self._minute = False

    def begin_boot(self) -> None:
        """The next stamp belongs to another boot."""
        self._last, self._base = None, None

    def slept(self) -> None:
        """The computer slept: the boot clock stood still meanwhile."""
        self._slept = True

    def moment(self, message: Message) -> Moment:
        """When a message was written, on the clock of its piece."""
        stamp = message.stamp
        if stamp.step_s is not None or (message.form == SUMMED and stamp.boot_s is None):
            return self._differences(stamp, message.line)
        if stamp.boot_s is None:
            return self._wall(stamp, message.line)
        fell = self._last is not None and stamp.boot_s < self._last - FELL_S
        if self._last is None or fell or message.boot != self._boot_id:
            self._new_boot(message.boot)
        self._last = stamp.boot_s
        if stamp.wall_s is not None:
            self._hold_together(stamp, message)
        return self._at(self._clock, "boot", stamp.boot_s, 1e-6, None, message.line, 0.0)

    def _new_boot(self, boot: str) -> None:
        self._boots += 1
        self.restarts += self._boot_id not in ("", boot)
        self._clock, self._boot_id = f"boot-{self._boots}", boot
        self._base = self._odd = None
        self._slept = False

    def _hold_together(self, stamp: Stamp, message: Message) -> None:
        assert stamp.boot_s is not None and stamp.wall_s is not None
        apart = stamp.wall_s - stamp.boot_s
        if self._base is None:
            self._base = apart
        change = apart - self._base
        settled = message.exact or stamp.boot_s > SETTLED_S
        if abs(change) > (0.25 if message.exact else STEP_S) and settled:
            if not self._slept and not message.exact and (self._odd is None or abs(apart - self._odd) > 1.0):
                self._odd = apart  # one line alone may have been received late
                return
            if not self._slept:
                at = Moment(stamp.boot_s, self._clock, 0.0, message.line)
                self.steps.append(ClockStep(at, round(change, 3)))
            self._boots += 1
            self._clock = f"boot-{self._boots}"
            self._base, self._odd, self._slept = apart, None, False
        else:
            self._odd = None
            self._base = min(self._base, apart) if not settled else self._base
        self._offset(apart, stamp, message.exact)

    def _offset(self, apart: float, stamp: Stamp, exact: bool) -> None:
        to = "local" if stamp.zone_s is None else "utc"
        old = self._offsets.get(self._clock, (apart, 0.0, to))
        least = min(apart, old[0])
        give = EXACT_GIVE_S if exact else (WHOLE_GIVE_S if stamp.whole else 0.05)
        self._offsets[self._clock] = (least, give, to)

    def _wall(self, stamp: Stamp, line: int) -> Moment:
        assert stamp.wall_s is not None
        kind = "local" if stamp.zone_s is None else "utc"
        clock = f"{kind}-{self._walls}" if self._walls else kind
        span = self._spans.get(clock)
        if span is not None and stamp.wall_s < span.last_s - STEP_S:
            change = stamp.wall_s - span.last_s
            self.steps.append(ClockStep(Moment(span.last_s, clock, 0.0, line), round(change, 3)))
            self._walls += 1
            clock = f"{kind}-{self._walls}"
        give = COMPUTED_GIVE_S if stamp.computed else WHOLE_GIVE_S if stamp.whole else 0.05
        middle = 0.5 if stamp.whole else 0.0
        return self._at(clock, kind, stamp.wall_s + middle, 1.0 if stamp.whole else 1e-6, stamp.zone_s, line, give)

    def _differences(self, stamp: Stamp, line: int) -> Moment:
        """Differences added up: from the minute a line names where one does, else from the first line."""
        if stamp.wall_s is not None:
            self._summed, self._minute = stamp.wall_s + HALF_MINUTE_S, True
        self._summed += stamp.step_s or 0.0
        if self._minute:
            return self._at("local-sum", "local", self._summed, 60.0, None, line, HALF_MINUTE_S)
        return self._at("sum", "session", self._summed, 1e-6, None, line, 0.0)

    def _at(self, clock: str, kind: str, seconds: float, resolution: float, zone: float | None, line: int,
            give: float) -> Moment:
        span = self._spans.get(clock)
        first = seconds if span is None else min(span.first_s, seconds)
        last = seconds if span is None else max(span.last_s, seconds)
        self._spans[clock] = ClockSpan(clock, kind, first, last, resolution, zone)  # type: ignore[arg-type]
        return Moment(seconds, clock, give, line)

    def spans(self) -> tuple[ClockSpan, ...]:
        """Every piece, in the order it began."""
        return tuple(self._spans.values())

    def syncs(self) -> tuple[Sync, ...]:
        """How each boot's clock lies to the wall clock, where lines tell both."""
        made = []
        for clock, (least, give, to) in self._offsets.items():
            middle = 0.5 if give == WHOLE_GIVE_S else 0.0
            how = "both clocks stand on its lines"
            made.append(Sync(clock, to, least + middle, give, how))  # type: ignore[arg-type]
        return tuple(made)
