"""Reads attributes of sysfs: only those on the list, each for a limited time. Nothing else in the live side opens one.

The list holds names whose reading is answered from memory (Linux 6.12 `drivers/usb/core/sysfs.c`, `port.c`). Never put
on it: a port's `disable`, whose reading wakes the hub and asks it for its status, and `current_link_speed` and
`current_link_width` of the controller, whose reading resumes it.
"""

from __future__ import annotations

import os
import queue
import threading
import time
from collections.abc import Iterable, Sequence
from pathlib import Path

LOCKED = frozenset(
    {
        "product",
        "manufacturer",
        "serial",
        "bMaxPower",
        "bmAttributes",
        "bConfigurationValue",
        "descriptors",
        "bos_descriptors",
    }
)
"""In memory too, but read under the device lock: they block while the device is being reset or enumerated."""

OF_DEVICE = (
    "devnum", "speed", "rx_lanes", "tx_lanes", "version", "maxchild", "removable", "urbnum", "idVendor", "idProduct",
    "bDeviceClass", "bDeviceSubClass", "bDeviceProtocol", "power/control", "power/runtime_status",
    "power/autosuspend_delay_ms", "power/connected_duration", "power/active_duration", *sorted(LOCKED),
)
OF_INTERFACE = ("bAlternateSetting", "bInterfaceClass", "bInterfaceSubClass", "bInterfaceProtocol")
OF_PORT = ("connect_type", "over_current_count", "state", "connector/power_operation_mode")
OF_OTHERS = (
    "busnum", "vendor", "device", "latency_timer", "port_number", "dev", "usbfs_memory_mb", "autosuspend", "initstate",
    "name", "in0_lcrit_alarm",
)
"""Of buses, controllers, serial ports, the module of the USB core, and a board's watch on its own volts."""

ATTRIBUTES = frozenset((*OF_DEVICE, *OF_INTERFACE, *OF_PORT, *OF_OTHERS))
"""Every attribute a scan may read."""

MOST_ATTRIBUTE_BYTES = 262_144


class Attributes:
    """Reads listed attributes below `root` (a path; "/sys" unless testing), never longer than the times allowed.

    One read may take `each_s` seconds; all blocked reads together `total_s`, after that a blocked one is given up at
    once. A thread whose read is blocked is left behind until the read comes back; meanwhile later looks, of a watch
    through the night say, pass over that attribute instead of leaving a thread behind each.
    """

    def __init__(self, root: str, each_s: float = 1.0, total_s: float = 3.0) -> None:
        self.root = root
        self.blocked: list[str] = []
        self.denied: list[str] = []
        self._each_s = each_s
        self._left_s = total_s
        self._worker: _Worker | None = None

    def read(self, paths: Iterable[str]) -> dict[str, bytes]:
        """What each of the paths below the root holds; those that are not there, or may not be read, are absent."""
        wanted = [path for path in paths if self._may(path) and not self._is_stuck(path)]
        found: dict[str, bytes] = {}
        while wanted:
            job = _Job(self.root, wanted)
            if self._worker is None:
                self._worker = _Worker()
            self._worker.jobs.put(job)
            done = self._wait(job)
            results = job.results[:]
            for path, data in results:
                if isinstance(data, bytes):
                    found[path] = data
                elif isinstance(data, PermissionError):
                    self.denied.append(path)
            if done:
                break
            job.given_up = True
            self.close()
            stuck, wanted = wanted[len(results)], wanted[len(results) + 1 :]
            self.blocked.append(stuck)
            _stuck[f"{self.root}/{stuck}"] = job
            wanted = [path for path in wanted if self._may(path)]
        return found

    def close(self) -> None:
        """Lets the reading thread end."""
        if self._worker is not None:
            self._worker.jobs.put(None)
            self._worker = None

    def _may(self, path: str) -> bool:
        name = path.rsplit("/", 1)[1]
        if name not in ATTRIBUTES and "/".join(path.split("/")[-2:]) not in ATTRIBUTES:
            raise AssertionError(f"{path} is not on the list of attributes that a scan may read")
        return name not in LOCKED or not any(_folder(path) == _folder(stuck) for stuck in self.blocked)

    def _is_stuck(self, path: str) -> bool:
        """True where an earlier look is still waiting for that attribute; it counts as blocked in this one too."""
        job = _stuck.get(f"{self.root}/{path}")
        if job is None:
            return False
        if job.done.is_set():
            del _stuck[f"{self.root}/{path}"]
            return False
        self.blocked.append(path)
        return True

    def _wait(self, job: _Job) -> bool:
        """Waits while reads go on; False once one of them has been stuck for its time."""
        allowed = max(0.02, min(self._each_s, self._left_s))
        read, since = 0, time.monotonic()
        while not job.done.wait(allowed if read == 0 else allowed / 4):
            now = time.monotonic()
            if len(job.results) > read:
                read, since = len(job.results), now
            elif now - since >= allowed:
                self._left_s -= now - since
                return job.done.is_set()
        return True

    def names(self, folder: str) -> list[str]:
        """Names in a folder below the root, sorted; empty where it is not there. Raises PermissionError."""
        try:
            with os.scandir(f"{self.root}/{folder}") as entries:
                return sorted(entry.name for entry in entries)
        except (FileNotFoundError, NotADirectoryError):
            return []

    def link(self, path: str) -> str | None:
        """The last name a symbolic link points at, or None."""
        try:
            return Path(f"{self.root}/{path}").readlink().name
        except OSError:
            return None

    def real(self, path: str) -> str:
        """The path with all links followed, below the root again where it ends up there."""
        whole = os.path.realpath(f"{self.root}/{path}")
        return os.path.relpath(whole, os.path.realpath(self.root))


class _Job:
    def __init__(self, root: str, paths: Sequence[str]) -> None:
        self.root = root
        self.paths = paths
        self.results: list[tuple[str, bytes | OSError]] = []
        self.done = threading.Event()
        self.given_up = False

    def run(self) -> None:
        for path in self.paths:
            if self.given_up:
                break
            self.results.append((path, _read(f"{self.root}/{path}")))
        self.done.set()


_stuck: dict[str, _Job] = {}
"""Reads that were given up and have not come back, by path."""


class _Worker:
    """A thread that runs jobs until it is given None. A daemon, so a blocked read cannot keep the process alive."""

    def __init__(self) -> None:
        self.jobs: queue.SimpleQueue[_Job | None] = queue.SimpleQueue()
        threading.Thread(target=self._run, daemon=True, name="sysfs reader").start()

    def _run(self) -> None:
        while (job := self.jobs.get()) is not None:
            job.run()


def _folder(path: str) -> str:
    return path.rpartition("/")[0]


def _read(path: str) -> bytes | OSError:
    try:
        file = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    except OSError as error:
        return error
    try:
        first = os.read(file, 4096)
        if len(first) < 4096:
            return first
        parts = [first]
        while (more := os.read(file, 65_536)) and sum(map(len, parts)) < MOST_ATTRIBUTE_BYTES:
            parts.append(more)
        return b"".join(parts)
    except OSError as error:
        return error
    finally:
        os.close(file)
