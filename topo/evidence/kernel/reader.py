"""The kernel's log as a `Reading`: messages to events, with resets told apart and what is no event left out."""

from __future__ import annotations

import quopri
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import chain
from typing import Any, BinaryIO, cast

from topo.evidence.kernel.lines import (
    BOOT_MARK,
    Message,
    is_mailed,
    journal_export,
    journal_json,
    messages,
    raw_lines,
    text_lines,
)
from topo.evidence.kernel.messages import Happened, happened
from topo.evidence.kernel.pieces import Pieces
from topo.evidence.kernel.prefixes import Prefixes
from topo.model.evidence import (
    Arrival,
    Asleep,
    Booted,
    Claimed,
    ClockStep,
    ControllerNote,
    Drop,
    EvidenceEvent,
    Handed,
    Identified,
    LowVolts,
    Moment,
    Noise,
    OverCurrent,
    PortNamed,
    PortTrouble,
    Reading,
    Refusal,
    Reset,
)
from topo.model.reader import EvidenceReader

MOST_LOG_EVENTS = 200_000
WAKING_S = 3.0
STARTING_S = 2.0
PORT_KINDS = ("descriptor-error", "address-error", "never-enabled", "power-cycled", "gave-up", "unstable",
              "shut-by-hub", "config-error", "hub-unreachable")
NOISE_KINDS = ("driver-error", "timed-out", "changed-identity", "below-top-speed")


def recognises(head: bytes) -> bool:
    """True where lines have a prefix that only a kernel log has, or entries are those of a journal."""
    if b"\x00" in head[:4096]:
        return b"__REALTIME_TIMESTAMP=" in head and head[:2] == b"__"
    if b'"__REALTIME_TIMESTAMP"' in head or head.startswith((b"__CURSOR=", b"__REALTIME_TIMESTAMP=")):
        return True
    prefixes = Prefixes(2000)
    if is_mailed(head):
        head = quopri.decodestring(head)
    lines = head.decode("utf-8", "replace").splitlines()[:400]
    return sum(prefixes.split(line) is not None for line in lines) >= (1 if len(lines) < 10 else 2)


def read(stream: BinaryIO, handed: Handed) -> Reading:
    """Reads a log. Raises ValueError where no line of it can be read."""
    head = stream.read(65_536)
    stream.seek(0)
    year = datetime.fromtimestamp(handed.modified_s or 0.0, UTC).year if handed.modified_s else 2000
    log = _Log()
    forms: dict[str, int] = {}
    for message in _messages(stream, head, year):
        forms[message.form] = forms.get(message.form, 0) + 1
        log.take(message)
        if log.full:
            break
    if not forms:
        raise ValueError("no line of it starts as lines of a kernel log do")
    return log.reading(max(forms, key=lambda form: forms[form]), handed)


def _messages(stream: BinaryIO, head: bytes, year: int) -> Iterator[Message]:
    if head.startswith(b"__"):
        return journal_export(stream)
    mailed = is_mailed(head)
    if b'"__REALTIME_TIMESTAMP"' in head or b'"__MONOTONIC_TIMESTAMP"' in head:
        plain = ((number, line.decode("utf-8", "replace")) for number, line in raw_lines(stream))
        return journal_json(plain)
    return messages(text_lines(stream, mailed), year)


class _Log:
    """What was understood so far."""

    def __init__(self) -> None:
        self._events: list[EvidenceEvent] = []
        self._pieces = Pieces()
        self._came: dict[str, float] = {}
        self._pending: dict[str, tuple[int | None, float | None]] = {}
        self._asleep: Moment | None = None
        self._woke: float | None = None
        self._piece = ""
        self._begun = self._booting = False
        self.full = False

    def take(self, message: Message) -> None:
        """Reads one message."""
        told = happened(message.text)
        if told is not None and told.kind == "boot":
            if (message.stamp.boot_s or 0.0) < 1.0 or message.text == BOOT_MARK:
                self._pieces.begin_boot()
            self._booting = self._begun
            if message.text == BOOT_MARK:
                return
        restarts = self._pieces.restarts
        at = self._pieces.moment(message)
        if self._booting or self._pieces.restarts > restarts:
            self._events.append(Booted(at))
        self._booting, self._begun = False, True
        if at.clock != self._piece:
            self._piece = at.clock
            self._came, self._woke = {}, None
            self._end_sleep(None)
        if told is not None:
            self._note(told, at)
            if len(self._events) >= MOST_LOG_EVENTS:
                self.full = True

    def _note(self, told: Happened, at: Moment) -> None:
        if told.kind == "asleep":
            self._asleep = at
        elif told.kind == "awake":
            self._end_sleep(at)
            self._pieces.slept()
            self._woke = at.seconds
        elif told.kind == "clock-set":
            self._events.append(ClockStep(at, None))
        elif told.kind == "low-volts":
            self._events.append(LowVolts(at))
        elif told.kind != "boot":
            self._events += self._of_device(told, at)

    def _end_sleep(self, at: Moment | None) -> None:
        if self._asleep is not None:
            self._events.append(Asleep(self._asleep, at))
            self._asleep = None

    def _of_device(self, told: Happened, at: Moment) -> Iterator[EvidenceEvent]:
        path, kind = told.path, told.kind
        if kind == "arrived":
            self._came[path] = at.seconds
            self._pending[path] = (told.number, told.speed_mbit)
            yield Arrival(at, path, told.number, told.speed_mbit)
        elif kind == "identified":
            number, speed = self._pending.pop(path, (None, None))
            yield Arrival(at, path, number, speed, answered=True)
            yield Identified(at, path, told.vendor_id, told.product_id, told.release)
        elif kind == "left":
            self._pending.pop(path, None)
            yield Drop(at, path, told.number)
        elif kind == "reset":
            yield Reset(at, path, told.number, self._why(path, at))
        elif kind in PORT_KINDS:
            yield PortTrouble(at, path, cast(Any, kind), told.error)
        elif kind in ("bandwidth", "resources", "not-configured"):
            yield Refusal(at, path, cast(Any, kind), told.error)
        elif kind == "over-current":
            yield OverCurrent(at, path, told.port)
        elif kind in ("dead", "bus-gone", "bus-new", "power-lost"):
            yield ControllerNote(at, cast(Any, kind), told.controller, told.number)
        elif kind == "port-named":
            yield PortNamed(at, path, told.name)
        elif kind == "claimed":
            yield Claimed(at, path, told.name, told.program)
        elif kind in NOISE_KINDS:
            yield Noise(at, path, cast(Any, kind), told.error)

    def _why(self, path: str, at: Moment) -> Any:
        if self._asleep is not None or (self._woke is not None and 0 <= at.seconds - self._woke < WAKING_S):
            return "waking"
        came = self._came.get(path)
        return "starting" if came is not None and 0 <= at.seconds - came < STARTING_S else "unknown"

    def reading(self, form: str, handed: Handed) -> Reading:
        """Everything read."""
        self._end_sleep(None)
        skipped = []
        spans = self._pieces.spans()
        if self.full:
            skipped.append(f"only its first {MOST_LOG_EVENTS} events are read")
        if form == "syslog":
            told = "its lines tell no year"
            skipped.append(told + (", so the year is that of the file's date" if handed.modified_s else ""))
        if form == "dmesg, wall time":
            skipped.append("its times were computed when it was saved; those before the last sleep are too late")
        if form == "dmesg, differences":
            skipped.append("its times are sums of differences; a lost line shifts all that follow")
        events = tuple(chain(self._events, self._pieces.steps))
        return Reading(f"kernel log ({form})", spans, self._pieces.syncs(), events, covers=True, skipped=tuple(skipped))


def reader() -> EvidenceReader:
    """The reader of kernel logs."""
    return EvidenceReader("kernel-log", "kernel logs: dmesg, syslog, journal in all forms", (".log", ".txt", ".json"),
                          recognises, read)
