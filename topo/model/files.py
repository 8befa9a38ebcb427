"""Files written whole or not at all: a temporary file beside, flushed to disk, then one rename. Links are followed."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

from topo.errors import CommandError
from topo.model.plain import plain


def write_whole(path: str | os.PathLike[str], data: bytes) -> None:
    """Replaces a file with the bytes, keeping its mode; a new file gets the usual one.

    Raises CommandError where it cannot be written; the old file then stands as it was.
    """
    name = os.fspath(path)
    try:
        target = Path(os.path.realpath(name))
        _replace(target, data, _mode_of(target, name))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no file can have this name or content"
        raise CommandError(f"'{plain(name)}' cannot be written: {reason.lower()}; it is unchanged") from None


def _mode_of(target: Path, name: str) -> int:
    try:
        status = target.stat()
    except FileNotFoundError:
        mask = os.umask(0)  # a process's mask can be read only by setting it
        os.umask(mask)
        return 0o666 & ~mask
    if not stat.S_ISREG(status.st_mode):
        raise CommandError(f"'{plain(name)}' is not an ordinary file; nothing was written")
    if not os.access(target, os.W_OK):  # a rename would get round the protection a person put on the file
        raise CommandError(f"'{plain(name)}' is write-protected; nothing was written")
    return stat.S_IMODE(status.st_mode)


def _replace(target: Path, data: bytes, mode: int) -> None:
    handle, temporary = tempfile.mkstemp(prefix=f".{target.name[:40]}.", suffix=".tmp", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).chmod(mode)
        Path(temporary).replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(temporary).unlink()
        raise
    with contextlib.suppress(OSError):  # makes the rename last through a power cut, where folders can be synced
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
