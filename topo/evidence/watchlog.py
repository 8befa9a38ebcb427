"""The log of `topo watch`, and saved scans, as `Reading`s."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime
from typing import BinaryIO

from topo.errors import ScanError
from topo.evidence.departures import PLACE_SHAPE
from topo.evidence.kernel.messages import child
from topo.live.notes import read_notes
from topo.model.evidence import (
    Arrival,
    ClockSpan,
    ClockStep,
    Drop,
    EvidenceEvent,
    Gap,
    Handed,
    Identified,
    LowVolts,
    Moment,
    OverCurrent,
    PortNamed,
    Reading,
    SpeedChange,
    Sync,
)
from topo.model.reader import EvidenceReader
from topo.model.watchnote import WATCH_FORMAT, Note, WatchLog

OF_A_PLACE = ("dropped", "returned", "appeared", "speed", "port")
"""Notes that say nothing where no place is told."""
TTY = re.compile(r"/dev/tty(?:USB|ACM)[0-9]{1,4}")


def recognises(head: bytes) -> bool:
    """True where the first note names the format."""
    return WATCH_FORMAT.encode() in head


def read(stream: BinaryIO, handed: Handed) -> Reading:
    """Reads a log. Raises ValueError where it is none."""
    try:
        log = read_notes(stream, handed.name)
    except ScanError as error:
        raise ValueError(str(error).partition(": ")[2] or str(error)) from error
    return reading_of(log)


def reading_of(log: WatchLog) -> Reading:
    """Notes as events. What a look every few seconds sees is up to that long ago."""
    events: list[EvidenceEvent] = []
    every = 2.0
    pieces = _Pieces()
    names: dict[str, str] = {}
    last: Moment | None = None
    for line, note in enumerate(log.notes, 1):
        if note.kind == "start":
            every = note.every_s or every
            names.update((w.device, w.name) for w in note.devices if w.name and PLACE_SHAPE.fullmatch(w.device))
        if note.name and note.device and PLACE_SHAPE.fullmatch(note.device):
            names[note.device] = note.name
        clock = pieces.clock(note)
        at = Moment(note.monotonic_s, clock, every, line)
        if note.kind == "start" and last is not None and last.clock == clock and at.seconds > last.seconds:
            events.append(Gap(last, at.seconds - last.seconds, "no watch ran"))
        if note.kind == "clock" and last is not None:
            events.append(ClockStep(last, note.seconds))  # what stands before it is in doubt
        events += _events(note, at, every)
        last = at
    skipped = []
    if log.torn:
        skipped.append(f"{log.torn} lines were torn by a kill")
    if log.problems:
        skipped.append(f"{len(log.problems)} lines cannot be read")
    return Reading("watch log", pieces.spans(), pieces.syncs(), tuple(events), names=tuple(sorted(names.items())),
                   covers=True, skipped=tuple(skipped))


class _Pieces:
    """The boots a log goes over, each with its clock and how that lies to UTC."""

    def __init__(self) -> None:
        self._all: list[list[tuple[float, float, float]]] = []

    def clock(self, note: Note) -> str:
        wall, zone = _wall(note.at)
        row = (note.monotonic_s, wall, zone)
        if not self._all or note.monotonic_s < self._all[-1][-1][0] - 0.5 or abs(
                (wall - note.monotonic_s) - (self._all[-1][-1][1] - self._all[-1][-1][0])) > 1.5:
            self._all.append([])
        self._all[-1].append(row)
        return f"boot-{len(self._all)}"

    def spans(self) -> tuple[ClockSpan, ...]:
        return tuple(ClockSpan(f"boot-{n}", "boot", rows[0][0], rows[-1][0], 0.001, rows[0][2])
                     for n, rows in enumerate(self._all, 1))

    def syncs(self) -> tuple[Sync, ...]:
        made = []
        for number, rows in enumerate(self._all, 1):
            apart = sorted(wall - steady for steady, wall, _ in rows)
            middle = apart[len(apart) // 2]
            give = max(0.002, (apart[-1] - apart[0]) / 2)
            made.append(Sync(f"boot-{number}", "utc", middle, give, "both clocks stand on its lines"))
        return tuple(made)


def _wall(text: str) -> tuple[float, float]:
    """UTC seconds and the zone of a note's time; 0 where it is none."""
    try:
        when = datetime.fromisoformat(text)
        offset = when.utcoffset()
        return when.timestamp(), 0.0 if offset is None else offset.total_seconds()
    except (ValueError, OverflowError):
        return 0.0, 0.0


def _events(note: Note, at: Moment, every: float) -> Iterator[EvidenceEvent]:
    path = note.device or ""
    if not PLACE_SHAPE.fullmatch(path) and (path or note.kind in OF_A_PLACE):
        return
    if note.kind == "dropped":
        yield Drop(at, path, note.devnum)
    elif note.kind in ("returned", "appeared"):
        back = note.away_s == 0.0
        if note.vendor_id and note.product_id and not back:
            yield Identified(at, path, note.vendor_id, note.product_id)
        yield Arrival(at, path, note.devnum, note.speed_mbit, answered=True)
    elif note.kind == "speed":
        yield SpeedChange(at, path, note.speed_before_mbit, note.speed_mbit)
    elif note.kind == "over-current":
        if note.hub and note.port is not None and PLACE_SHAPE.fullmatch(note.hub):
            yield OverCurrent(at, child(note.hub, note.port))
    elif note.kind == "port":
        for name in (*note.ports_before, *note.ports):
            if TTY.fullmatch(name):
                yield PortNamed(at, path, name.removeprefix("/dev/"))
    elif note.kind == "low-volts":
        yield LowVolts(at)
    elif note.kind == "gap":
        yield Gap(Moment(at.seconds - (note.seconds or 0.0), at.clock, every, at.line), note.seconds or 0.0, "no look")


def recognises_scan(head: bytes) -> bool:
    """True for a saved scan."""
    return head.lstrip().startswith(b"{") and b'"topo.scan.1"' in head[:4096]


def read_scan(stream: BinaryIO, handed: Handed) -> Reading:
    """Reads a saved scan: what was plugged in at one moment. Raises ValueError where it is none."""
    from topo.live import store

    data = stream.read(store.MOST_SCAN_BYTES + 1)
    try:
        scan = store.loads(data.decode("utf-8", "replace"), handed.name)
    except ScanError as error:
        raise ValueError(str(error).splitlines()[0].partition(": ")[2]) from error
    wall, zone = _wall(scan.when)
    kind = "utc" if wall else "session"
    events: list[EvidenceEvent] = []
    for number, seen in enumerate(scan.sightings, 1):
        at = Moment(wall, kind, 0.5, number)
        if not PLACE_SHAPE.fullmatch(seen.id):
            continue  # its place is not known
        events.append(Arrival(at, seen.id, seen.devnum, seen.speed_mbit, answered=True))
        if seen.vendor_id and seen.product_id:
            events.append(Identified(at, seen.id, seen.vendor_id, seen.product_id))
    span = ClockSpan(kind, "utc" if wall else "session", wall, wall, 1.0, zone)
    return Reading("saved scan", (span,), events=tuple(events), scan=scan)


def readers() -> list[EvidenceReader]:
    """The readers of this file."""
    return [
        EvidenceReader("watch-log", "logs of `topo watch`", (".jsonl", ".log"), recognises, read),
        EvidenceReader("saved-scan", "scans saved by `topo live --save`, before and after", (".json",),
                       recognises_scan, read_scan),
    ]

