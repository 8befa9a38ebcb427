"""Reads what stands beside sysfs: /run/udev/data, /proc, /etc, lock files. Only what the list allows; never below /dev.

Nodes below /dev are asked for their numbers, group and mode by `stat`, which opens nothing.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

from topo.model.plain import plain

MAY_OPEN = re.compile(
    r"run/udev/data/c[0-9]{1,4}:[0-9]{1,7}"
    r"|run/lock/LCK\.\.[^/]{1,80}"
    r"|proc/locks|proc/[0-9]{1,10}/comm"
    r"|proc/pressure/(cpu|io|memory)"
    r"|etc/group|etc/modprobe\.d/[^/]{1,120}\.conf"
)
"""Every file that is opened beside sysfs, below the folder that holds `sys`."""

MAY_LIST = re.compile(r"proc|proc/[0-9]{1,10}/fd|run/lock|etc/modprobe\.d")
"""Every folder that is listed there."""

MOST_BYTES = 262_144
MOST_NAMES = 65_536


class Beside:
    """The folder that holds `sys`: "/" unless testing. `root` is the path of that `sys`."""

    def __init__(self, root: str) -> None:
        self.top = str(Path(root).absolute().parent)

    def read(self, path: str) -> bytes | None:
        """What a file on the list holds, up to a limit; None where it is not there or may not be read."""
        if not MAY_OPEN.fullmatch(path):
            raise AssertionError(f"{plain(path)} is not on the list of files that a scan may open")
        try:
            file = os.open(self._whole(path), os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK | os.O_NOCTTY)
        except (OSError, ValueError):
            return None
        try:
            parts: list[bytes] = []
            while (more := os.read(file, 65_536)) and sum(map(len, parts)) < MOST_BYTES:
                parts.append(more)
            return b"".join(parts)[:MOST_BYTES]
        except OSError:
            return None
        finally:
            os.close(file)

    def names(self, folder: str) -> list[str] | None:
        """Names in a folder on the list, sorted; None where it may not be listed or is not there."""
        if not MAY_LIST.fullmatch(folder):
            raise AssertionError(f"{plain(folder)} is not on the list of folders that a scan may list")
        found: list[str] = []
        try:
            with os.scandir(self._whole(folder)) as entries:
                for entry in entries:
                    found.append(entry.name)
                    if len(found) >= MOST_NAMES:
                        break
        except OSError:
            return None
        return sorted(found)

    def link(self, path: str) -> str | None:
        """What a symbolic link says, or None."""
        try:
            return str(Path(self._whole(path)).readlink())
        except OSError:
            return None

    def node(self, name: str) -> os.stat_result | None:
        """The numbers of a node below /dev ("/dev/ttyUSB0"), by stat; None where it is not there."""
        try:
            return Path(self._whole(name.lstrip("/"))).stat()
        except (OSError, ValueError):
            return None

    def _whole(self, path: str) -> str:
        return f"{self.top.rstrip('/')}/{path}"
