"""Notes of a night watch: one frozen value a line of its log. Nothing here reads or writes."""

from __future__ import annotations

from typing import Literal

from topo.frozen import frozen

WATCH_FORMAT = "topo.watch.1"

NoteKind = Literal[
    "start",
    "absent",
    "twins",
    "meanwhile",
    "dropped",
    "returned",
    "appeared",
    "speed",
    "over-current",
    "port",
    "silent",
    "moves",
    "together",
    "gap",
    "clock",
    "scan-failed",
    "scan-works",
    "low-volts",
    "alive",
    "stop",
]


@frozen
class Watched:
    """One device at the start of a watch: place, the rig file's name for it, ids, device number, speed in Mb/s."""

    device: str
    name: str | None = None
    vendor_id: str | None = None
    product_id: str | None = None
    devnum: int | None = None
    speed_mbit: float | None = None


@frozen
class Pressure:
    """Share of the last 10 s in which a program waited for processor, disk or memory, per cent; None: not told."""

    cpu: float | None = None
    io: float | None = None
    memory: float | None = None


@frozen
class Note:
    """One thing noted. What a kind does not need is left out.

    `at` is ISO 8601 local time with its UTC offset; `monotonic_s` the system's monotonic clock in seconds, the one
    the kernel's log counts by. `came_as` of a returned device: "same" at its place; "elsewhere" the same at another
    (`place_before`); "unknown" something else at its place. `together` lists what dropped within two seconds, `common`
    the ids of the lowest part above them all (or that dropped with all below it). `away_s` is how long it was seen to
    be away; 0 where it dropped and came back between two looks. `seconds` is the length of a gap or clock step, or
    how long a part has moved nothing. `ports_before` and `ports` are names of serial ports before and after;
    `held_by` short names of programs that still hold an old one. `pressure` stands on the first note of a look, and
    each minute. `parts` are those of the rig file that are not to be seen ("absent"), or that only their sockets tell
    apart ("twins"). "meanwhile" tells what changed while no watch ran, at the start of the next one on the same log.
    """

    kind: NoteKind
    at: str
    monotonic_s: float
    text: str = ""
    format: str | None = None
    device: str | None = None
    name: str | None = None
    vendor_id: str | None = None
    product_id: str | None = None
    came_as: Literal["same", "elsewhere", "unknown"] | None = None
    place_before: str | None = None
    devnum_before: int | None = None
    devnum: int | None = None
    speed_before_mbit: float | None = None
    speed_mbit: float | None = None
    away_s: float | None = None
    hub: str | None = None
    port: int | None = None
    count_before: int | None = None
    count: int | None = None
    parts: tuple[str, ...] = ()
    together: tuple[str, ...] = ()
    common: tuple[str, ...] = ()
    common_name: str | None = None
    seconds: float | None = None
    every_s: float | None = None
    scanner: str | None = None
    system: str | None = None
    kernel: str | None = None
    devices: tuple[Watched, ...] = ()
    ports_before: tuple[str, ...] = ()
    ports: tuple[str, ...] = ()
    held_by: tuple[str, ...] = ()
    pressure: Pressure | None = None


@frozen
class WatchLog:
    """A read log: its notes in order, how many lines were torn by a kill, and other lines that could not be read."""

    notes: tuple[Note, ...]
    torn: int = 0
    problems: tuple[str, ...] = ()
