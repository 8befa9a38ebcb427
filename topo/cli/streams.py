"""Standard output and error made fit for any shell: a pipe that closes, an encoding that is poor, a disk that is full.

Nothing is printed here, and no word of a command is known.
"""

from __future__ import annotations

import errno
import io
import os
import sys
from typing import TextIO

from topo.errors import CommandError, reason_of

GONE = (errno.EPIPE, errno.EINVAL)
"""What writing to a pipe gives whose reader has left: EPIPE, and EINVAL on Windows."""


class _Raw(io.FileIO):
    """A descriptor nobody has to read to the end: `topo check RIG | head -1` keeps the status of the whole check."""

    lost = False

    def write(self, data: object, /) -> int:
        """Writes what the descriptor takes. Raises CommandError once where it takes nothing for another reason."""
        size = memoryview(data).nbytes  # type: ignore[arg-type]
        if self.lost:
            return size
        try:
            return super().write(data)  # type: ignore[arg-type]
        except OSError as error:
            self.lost = True
            if error.errno in GONE:
                return size
            raise CommandError(f"the answer cannot be written: {reason_of(error)}") from None


def prepare() -> None:
    """Puts streams that never fail on a character or a closed pipe in place of standard output and error."""
    sys.stdout = _fit(sys.stdout, 1)
    sys.stderr = _fit(sys.stderr, 2)


def _fit(stream: TextIO | None, descriptor: int) -> TextIO:
    """The stream, or one in its place: what its encoding lacks is escaped. A closed one swallows all."""
    if stream is None:  # started with the descriptor closed: `topo check RIG >&-`
        return open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123 - stays open until the process ends
    if not isinstance(stream, io.TextIOWrapper):
        return stream
    if stream.isatty():
        stream.reconfigure(errors="backslashreplace")
        return stream
    stream.flush()
    buffer = io.BufferedWriter(_Raw(descriptor, "w", closefd=False))
    return io.TextIOWrapper(buffer, stream.encoding, "backslashreplace", line_buffering=stream.line_buffering)
