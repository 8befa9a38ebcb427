"""Files written whole or not at all: a temporary file beside, then one rename."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from topo.errors import CommandError
from topo.model.plain import plain


def write_whole(path: str | os.PathLike[str], data: bytes) -> None:
    """Writes a file in one step; what was there before stays until then. Raises CommandError where it cannot."""
    target = Path(path)
    beside = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name[:40]}.", dir=target.parent)
        beside = Path(name)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(0o666 & ~_umask())
        beside.replace(target)
    except OSError as error:
        if beside is not None:
            beside.unlink(missing_ok=True)
        raise CommandError(f"cannot write {plain(str(path))}: {error.strerror}") from error


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
