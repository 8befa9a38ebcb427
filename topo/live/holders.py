"""Who holds a serial port or a device: open files, locks and lock files. Short names of programs only, no arguments.

Sources: proc(5) for the links in /proc/PID/fd, the lines of /proc/locks and /proc/PID/comm; the file system standard
(FHS 3.0, 5.9) for lock files, which hold a process number in ten characters. Links of other people's programs are read
by root alone, their short names and locks by everyone. A list of programs that probe: common practice.
"""

from __future__ import annotations

import os
import re
import time
from collections.abc import Iterable, Mapping

from topo.live.beside import MAY_OPEN, Beside
from topo.live.words import text_of
from topo.model.sighting import Holder, Holding

SERVICES = ("ModemManager", "brltty", "gpsd")
"""Short names of services that open serial ports by themselves: for modems, Braille displays, satellite receivers."""

HELD = re.compile(r"/dev/(tty(USB|ACM|S|AMA|THS|XRUSB)[0-9]{1,4}|bus/usb/[0-9]{3}/[0-9]{3})( \(deleted\))?")
LOCK = re.compile(r"[0-9]+: (?:FLOCK|POSIX|OFDLCK) +\S+ +\S+ +(-?[0-9]+) ([0-9a-f]+):([0-9a-f]+):([0-9]+) ")
LOCK_FILE = "LCK.."
MOST_HOLDERS = 400
ALL_TIME_S = 1.5
"""All of it may take so long; then it ends where it is, and the scan says so."""


def holding(beside: Beside, ports: Iterable[str], time_s: float = ALL_TIME_S) -> Holding | None:
    """Who holds what now. `ports` are the names of the serial ports. None where there is no /proc."""
    names = beside.names("proc")
    if names is None:
        return None
    return _Look(beside, tuple(ports), time.monotonic() + time_s).look([n for n in names if n.isdigit()])


class _Look:
    """One pass over /proc."""

    def __init__(self, beside: Beside, ports: tuple[str, ...], until: float) -> None:
        self._beside, self._ports, self._until = beside, ports, until
        self._comm: dict[int, str | None] = {}
        self._found: dict[Holder, None] = {}
        self._denied = False
        self._whole = True

    def look(self, processes: list[str]) -> Holding:
        """All of it: open files, then locks, then lock files."""
        for name in processes:
            if time.monotonic() > self._until or len(self._found) >= MOST_HOLDERS:
                self._whole = False
                break
            self._open_files(int(name))
        self._locks()
        self._lock_files({int(name) for name in processes})
        running = {comm for comm in self._comm.values() if comm is not None}
        return Holding(
            everyone=not self._denied,
            holders=tuple(sorted(self._found, key=lambda h: (h.name, h.how, h.program or "", h.process or 0))),
            services=tuple(name for name in SERVICES if name[:15] in running),
            whole=self._whole,
        )

    def _open_files(self, process: int) -> None:
        comm = self._name(process)
        files = self._beside.names(f"proc/{process}/fd")
        if files is None:
            # A program that ended meanwhile still counts as not looked at only where it is still there.
            self._denied = self._denied or self._beside.read(f"proc/{process}/comm") is not None
            return
        for number in files:
            match = HELD.fullmatch(self._beside.link(f"proc/{process}/fd/{number}") or "")
            if match is not None:
                held = f"/dev/{match[1]}"
                self._add(Holder(held, "open", comm, process, gone=match[3] is not None))

    def _locks(self) -> None:
        nodes: Mapping[tuple[int, int, int], str] = {
            (os.major(told.st_dev), os.minor(told.st_dev), told.st_ino): port
            for port in self._ports
            if (told := self._beside.node(port)) is not None
        }
        for line in (self._beside.read("proc/locks") or b"").decode("ascii", "replace").splitlines():
            match = LOCK.match(line)
            if match is None:
                continue
            port = nodes.get((int(match[2], 16), int(match[3], 16), int(match[4])))
            process = int(match[1])
            if port is not None:
                self._add(Holder(port, "lock", self._name(process), process if process > 0 else None))

    def _lock_files(self, running: set[int]) -> None:
        for name in self._beside.names("run/lock") or ():
            if not name.startswith(LOCK_FILE) or not MAY_OPEN.fullmatch(f"run/lock/{name}"):
                continue
            text = (self._beside.read(f"run/lock/{name}") or b"")[:80].split()
            process = int(text[0]) if text and text[0].isdigit() and len(text[0]) <= 10 else None
            port = f"/dev/{name.removeprefix(LOCK_FILE)}"
            if port in self._ports and process is not None:
                self._add(Holder(port, "lock-file", self._name(process), process, gone=process not in running))

    def _name(self, process: int) -> str | None:
        if process not in self._comm:
            told = self._beside.read(f"proc/{process}/comm") if process > 0 else None
            self._comm[process] = (text_of(told) or "")[:64] or None
        return self._comm[process]

    def _add(self, holder: Holder) -> None:
        if len(self._found) < MOST_HOLDERS:
            self._found[holder] = None
        else:
            self._whole = False
