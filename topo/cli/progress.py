"""The line on a terminal that says how far a long command is. Never in a file or pipe, and gone before the answer."""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import Any, TextIO

from topo.model.plain import plain
from topo.progress import listen

PATIENCE_S = 1.0
"""Nothing is shown of a command that takes less, in seconds. A rig of some hundred parts takes more."""

EVERY_S = 0.2
LINE_CELLS = 78


class ProgressLine:
    """Shows progress on standard error while it is open, where that is a terminal."""

    def __init__(self) -> None:
        self.shown = False
        self.wraps: list[tuple[str, TextIO]] = []
        self.last = time.monotonic() + PATIENCE_S - EVERY_S

    def __enter__(self) -> ProgressLine:
        if sys.stderr.isatty():
            for name in ("stdout", "stderr"):
                stream = getattr(sys, name)
                self.wraps.append((name, stream))
                setattr(sys, name, _Clearing(stream, self))
            listen(self.at)
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None) -> None:
        listen(None)
        self.clear()
        for name, stream in self.wraps:
            setattr(sys, name, stream)

    def at(self, what: str, number: int, of: int) -> None:
        """One step. Shown at most every so often."""
        now = time.monotonic()
        if now - self.last < EVERY_S:
            return
        self.last = now
        self.shown = True
        count = f" {number} of {of}" if of else f" {number}" if number else ""
        text = f"topo: {plain(what, 50)}{count} (Ctrl-C stops)"
        self._write("\r" + text.ljust(LINE_CELLS)[:LINE_CELLS])

    def clear(self) -> None:
        """Takes the line away, where one is shown."""
        if self.shown:
            self.shown = False
            self._write("\r" + " " * LINE_CELLS + "\r")

    def _write(self, text: str) -> None:
        stream = dict(self.wraps)["stderr"]
        stream.write(text)
        stream.flush()


class _Clearing:
    """A stream that takes the line of progress away before anything is written to it."""

    def __init__(self, stream: TextIO, progress: ProgressLine) -> None:
        self._stream = stream
        self._progress = progress

    def write(self, text: str) -> int:
        self._progress.clear()
        return self._stream.write(text)

    def __getattr__(self, name: str) -> Any:
        if name in ("buffer", "writelines"):
            self._progress.clear()
        return getattr(self._stream, name)
