"""Temporary files and folders beside what they become: their names, their locks, and what is left of killed runs.

A name is short, so that it fits wherever the file's own name of up to 255 bytes fits.
"""

from __future__ import annotations

import contextlib
import os
import stat
import time
from collections.abc import Iterator
from pathlib import Path

from topo.later import pattern

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

OURS = pattern(r"\.topo-[0-9a-f]{16}\.tmp")
"""Names of temporary files and folders of this tool. Nothing else is ever swept."""

JUST_MADE_S = 2.0
"""A temporary file younger than this is left alone: between making and locking it lies a moment."""

LEFT_S = 3600.0
"""Where locks tell nothing (Windows, some network file systems, folders) a temporary thing this old is left over."""

TRIES = 100


def umask() -> int:
    """The process's mask for new files, which can be read only by setting it."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


def new_file(folder: Path) -> tuple[int, Path]:
    """A new empty file in a folder, open for writing, locked while it is open, readable by its owner alone."""
    for _ in range(TRIES):
        path = folder / f".topo-{os.urandom(8).hex()}.tmp"
        try:
            handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_CLOEXEC", 0), 0o600)
        except FileExistsError:
            continue
        lock(handle)
        return handle, path
    raise FileExistsError("no name for a temporary file is free")


def new_folder(folder: Path) -> Path:
    """A new empty folder in a folder, for its owner alone."""
    for _ in range(TRIES):
        path = folder / f".topo-{os.urandom(8).hex()}.tmp"
        with contextlib.suppress(FileExistsError):
            path.mkdir(0o700)
            return path
    raise FileExistsError("no name for a temporary folder is free")


def lock(handle: int, wait: bool = False) -> bool | None:
    """Locks an open file: True where that worked, False where another has it, None where there are no locks."""
    if fcntl is None:
        return None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        return False
    except OSError:
        return None
    return True


def sweep(folder: Path) -> None:
    """Removes what killed runs left in a folder: only names of ours, only our own files, only what nobody holds."""
    with contextlib.suppress(OSError):
        for path in _ours(folder):
            with contextlib.suppress(OSError):
                if _is_left_over(path):
                    path.unlink()


def _ours(folder: Path) -> Iterator[Path]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if OURS.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
                yield Path(entry.path)


def _is_left_over(path: Path) -> bool:
    status = path.lstat()
    age = time.time() - status.st_mtime
    mine = not hasattr(os, "geteuid") or status.st_uid == os.geteuid()
    if not stat.S_ISREG(status.st_mode) or not mine or age < JUST_MADE_S:
        return False
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    try:
        free = lock(handle)
    finally:
        os.close(handle)
    return age > LEFT_S if free is None else free
