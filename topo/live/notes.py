"""The log of a watch: append-only JSON lines, each on disk before the next: a kill loses one line at most."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from topo.errors import ScanError, reason_of
from topo.live.codec import from_plain, to_plain
from topo.model.plain import plain
from topo.model.watchnote import WATCH_FORMAT, Note, WatchLog

MOST_LINE = 1 << 20
MOST_LOG_LINES = 5_000_000
MOST_LOG_PROBLEMS = 50


def line_of(note: Note) -> str:
    """One line of JSON, ending in a newline."""
    return json.dumps(to_plain(note), ensure_ascii=True, allow_nan=False) + "\n"


class NoteFile:
    """A log opened for appending. Notes that a full disk refuses are kept and tried again with the next one."""

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self._path = Path(path)
        self._waiting = b""
        try:
            self._refuse_strange()
            self._file = os.open(self._path, os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_CLOEXEC, 0o666)
            size = os.fstat(self._file).st_size
            if size and os.pread(self._file, 1, size - 1) != b"\n":
                self._waiting = b"\n"
            self._sync_folder()
        except OSError as error:
            raise ScanError(f"{plain(str(path))} cannot be written: {reason_of(error)}") from error

    def _refuse_strange(self) -> None:
        """A file that is no watch log is not appended to: it may be somebody's data."""
        if not self._path.exists() or not self._path.stat().st_size:
            return
        with self._path.open("rb") as file:
            start = file.read(4096)
        if WATCH_FORMAT.encode() not in start:
            raise ScanError(f"{plain(str(self._path))} is there and is no watch log; nothing is appended to it")

    def _sync_folder(self) -> None:
        """The name of a new file must be on disk too (Linux: fsync(2), notes)."""
        if os.name != "posix":
            return
        folder = os.open(self._path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        except OSError:
            pass  # some file systems refuse it; the note itself is synced anyway
        finally:
            os.close(folder)

    def add(self, note: Note) -> str | None:
        """Writes a note and waits until it is on disk. Returns what is wrong, where it is not there yet."""
        self._waiting += line_of(note).encode("ascii")
        try:
            while self._waiting:
                written = os.write(self._file, self._waiting)
                self._waiting = self._waiting[written:]
            os.fsync(self._file)
        except OSError as error:
            return f"{plain(str(self._path))} cannot be written: {reason_of(error)}; it is tried again"
        return None

    def close(self) -> None:
        """Closes the file; every note is on disk already."""
        os.close(self._file)


def read_watch(path: str | os.PathLike[str]) -> WatchLog:
    """Reads a log, whole or cut anywhere. Raises ScanError where it cannot be read or is no watch log."""
    try:
        with Path(path).open("rb") as file:
            return read_notes(file, str(path))
    except OSError as error:
        raise ScanError(f"{plain(str(path))} cannot be read: {reason_of(error)}") from error


def read_notes(file: BinaryIO, path: str) -> WatchLog:
    """Reads a log from an open file. Raises ScanError where it is no watch log."""
    notes: list[Note] = []
    problems: list[str] = []
    torn: list[int] = []
    bad: tuple[int, str] | None = None
    for number, line in _lines(file):
        found: list[str] = []
        note = _note(line, found)
        if bad is not None:
            _settle(bad, torn, problems, note)
            bad = None
        if note is None:
            bad = (number, found[0])
        elif not notes and note.format != WATCH_FORMAT:
            raise ScanError(f"{plain(str(path))}: not a watch log that this version reads")
        else:
            notes.append(note)
    if bad is not None:
        torn.append(bad[0])
    if not notes:
        raise ScanError(f"{plain(str(path))}: not a watch log: it has no whole note")
    return WatchLog(tuple(notes), len(torn), tuple(problems[:MOST_LOG_PROBLEMS]))


def _settle(bad: tuple[int, str], torn: list[int], problems: list[str], following: Note | None) -> None:
    """A line before a new start was torn by a kill; any other bad line is told."""
    if following is not None and following.kind == "start":
        torn.append(bad[0])
    else:
        problems.append(f"line {bad[0]}: {bad[1]}")


def _lines(file: BinaryIO) -> Iterator[tuple[int, bytes]]:
    for number in range(1, MOST_LOG_LINES + 1):
        line = file.readline(MOST_LINE)
        if not line:
            return
        if line.strip():
            yield number, line


def _note(line: bytes, problems: list[str]) -> Note | None:
    try:
        data = json.loads(line.decode("utf-8"))
    except (ValueError, RecursionError):
        problems.append("not a line of JSON")
        return None
    return from_plain(Note, data, problems)
