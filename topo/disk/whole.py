"""Files written whole or not at all: a temporary file beside, flushed to disk, then one rename. Links are followed.

A file keeps its mode and owner. Where a rename would break something that a person made (a second hard link to the
file, an owner that only the system may set) the bytes are written into the file as it stands, after a whole copy of
them is safe beside it; where that fails the old bytes come back.
"""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Iterator
from pathlib import Path

from topo.disk.temporary import lock, new_file, sweep, umask
from topo.errors import CommandError, reason_of
from topo.model.plain import plain

CHANGED = "has changed since it was read; nothing was written. Run the command again"


def write_whole(path: str | os.PathLike[str], data: bytes, was: bytes | None = None) -> None:
    """Replaces a file with the bytes, keeping its mode and owner; a new file gets the usual ones.

    `was` is what the caller read there: where the file holds something else by now nothing is written, so that of two
    runs at once none loses what the other wrote. Raises CommandError where it cannot be written; the old file then
    stands as it was.
    """
    with _told(os.fspath(path)) as name:
        target = Path(os.path.realpath(name))
        sweep(target.parent)
        with _turn(target, was is not None):
            status = _status(target, name)
            if was is not None and (status is None or target.read_bytes() != was):
                raise CommandError(f"'{plain(name)}' {CHANGED}")
            _put(target, data, status)


def write_new(path: str | os.PathLike[str], data: bytes) -> None:
    """Writes a file that is not there yet, whole or not at all. Raises CommandError where something is there."""
    with _told(os.fspath(path)) as name:
        target = Path(name)
        sweep(target.parent)
        with _beside(target, data, None) as temporary:
            _link_new(temporary, target)


@contextlib.contextmanager
def _told(name: str) -> Iterator[str]:
    """Turns what a file system says no with into words."""
    left = "it is unchanged" if os.path.lexists(name) else "nothing was written"
    try:
        yield name
    except FileExistsError:
        raise CommandError(f"'{plain(name)}' is there already; nothing was written") from None
    except (OSError, ValueError) as error:
        reason = reason_of(error, "no file can have this name or content")
        raise CommandError(f"'{plain(name)}' cannot be written: {reason}; {left}") from None


def _status(target: Path, name: str) -> os.stat_result | None:
    """What is there, or None. Raises CommandError for what is no ordinary file, or is protected."""
    try:
        status = target.stat()
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(status.st_mode):
        raise CommandError(f"'{plain(name)}' is not an ordinary file; nothing was written")
    # A rename would get round the protection a person put on the file, and so would the system's administrator.
    if not os.access(target, os.W_OK) or not status.st_mode & 0o222:
        raise CommandError(f"'{plain(name)}' is write-protected; nothing was written")
    return status


@contextlib.contextmanager
def _turn(target: Path, wanted: bool) -> Iterator[None]:
    """Waits until no other run is between reading and replacing the file. Where there are no locks, nothing is held."""
    handle = -1
    try:
        while wanted:
            handle = os.open(target, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
            if not lock(handle, wait=True) or os.path.samestat(os.fstat(handle), target.stat()):
                break
            os.close(handle)  # while we waited another run put a new file in place: queue up for that one
            handle = -1
        yield
    finally:
        if handle >= 0:
            os.close(handle)


def _put(target: Path, data: bytes, status: os.stat_result | None) -> None:
    with _beside(target, data, status) as temporary:
        if status is None or (status.st_nlink == 1 and _same_owner(temporary, status)):
            temporary.replace(target)
        else:
            _into(target, data)
    _settle(target.parent)


@contextlib.contextmanager
def _beside(target: Path, data: bytes, status: os.stat_result | None) -> Iterator[Path]:
    """The bytes in a temporary file of the same folder, with the mode and owner they should have; gone in the end."""
    handle, temporary = new_file(target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
            if status is not None and hasattr(os, "fchown"):
                with contextlib.suppress(OSError):
                    os.fchown(file.fileno(), status.st_uid, status.st_gid)
            temporary.chmod(0o666 & ~umask() if status is None else stat.S_IMODE(status.st_mode))
            if os.name == "nt":  # no open file can be renamed there
                file.close()
            yield temporary
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink()


def _same_owner(path: Path, status: os.stat_result) -> bool:
    mine = path.stat()
    return (mine.st_uid, mine.st_gid) == (status.st_uid, status.st_gid)


def _into(target: Path, data: bytes) -> None:
    """Writes the bytes into the file as it stands; the old ones come back where that fails."""
    with target.open("r+b") as file:
        before = file.read()
        try:
            _over(file.fileno(), data)
        except OSError:
            _over(file.fileno(), before)  # its blocks are still there, so this needs no room
            raise


def _over(handle: int, data: bytes) -> None:
    os.lseek(handle, 0, os.SEEK_SET)
    left = memoryview(data)
    while left:
        left = left[os.write(handle, left) :]
    os.ftruncate(handle, len(data))
    os.fsync(handle)


def _link_new(source: Path, target: Path) -> None:
    """Puts a file in place only where nothing is; file systems without hard links get the nearest thing."""
    try:
        os.link(source, target)
    except FileExistsError:
        raise
    except OSError:
        if os.path.lexists(target):
            raise FileExistsError from None
        source.replace(target)
    _settle(target.parent)


def _settle(folder: Path) -> None:
    """Makes a rename last through a power cut, where folders can be synced."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
