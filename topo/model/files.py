"""Files written whole or not at all: to a temporary file beside, flushed to disk, then put in place in one step."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from topo.errors import CommandError


def write_whole(path: str | os.PathLike[str], data: bytes) -> None:
    """Writes a file whole or not at all; keeps the mode of one that is there. Raises CommandError with the reason."""
    target = Path(os.path.realpath(path))
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    except OSError as error:
        raise CommandError(f"cannot write {path}: {error.strerror}") from error
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_umask())
        Path(temporary).replace(target)
    except OSError as error:
        with contextlib.suppress(OSError):
            Path(temporary).unlink()
        raise CommandError(f"cannot write {path}: {error.strerror}") from error


def _umask() -> int:
    """The process's umask, which can only be read by setting it."""
    mask = os.umask(0o022)
    os.umask(mask)
    return mask
