"""Files of evidence to `Source`s: folders opened up, gz and xz unpacked within bounds, each file given to its reader.

A file that cannot be read costs that file: the reason stands in its place.
"""

from __future__ import annotations

import bz2
import lzma
import os
import stat
import tempfile
import zlib
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, closing, nullcontext
from pathlib import Path
from typing import Any, BinaryIO, cast

from topo.errors import PluginError, reason_of
from topo.frozen import frozen
from topo.model.evidence import Handed, Reading
from topo.model.plain import plain
from topo.model.reader import EvidenceReader

HEAD = 65_536
MOST_UNPACKED = 8 * 1024**3
MOST_RATIO = 2_000
"""What unpacks to more than so many times its size, or more than 8 GiB, is a trap and no log."""
MOST_FILES = 20_000
XZ_MEMORY = 128 * 1024**2
_PIECE = 1 << 20


@frozen
class Source:
    """One file and what was read of it. `reading` is None where it could not be read; `problem` says why."""

    name: str
    reader: str = ""
    reading: Reading | None = None
    problem: str = ""


def gather(paths: Sequence[str], readers: Sequence[EvidenceReader], columns: dict[str, str]) -> tuple[Source, ...]:
    """Reads every file, in the order given; a folder's files in the order of their names."""
    found: list[Source] = []
    listed = list(_files(paths))
    many = _copied([path for path, _ in listed if path is not None])
    for path, problem in listed[:MOST_FILES]:
        if path is None:
            found.append(Source(*problem))
        else:
            found.append(_one(path, readers, columns, many))
    if len(listed) > MOST_FILES:
        found.append(Source("…", problem=f"more than {MOST_FILES} files; the rest is not read"))
    return tuple(found)


def _files(paths: Sequence[str]) -> Iterator[tuple[Path | None, tuple[str, str, None, str]]]:
    for name in paths:
        path = Path(name)
        try:
            if path.is_dir():
                inside = sorted(item for item in path.iterdir() if item.is_file() and not item.name.startswith("."))
                for item in inside[: MOST_FILES + 1]:
                    yield item, (str(item), "", None, "")
            else:
                yield path, (name, "", None, "")
        except (OSError, ValueError) as error:
            yield None, (name, "", None, f"cannot be opened: {reason_of(error, 'no such name')}")


def _copied(paths: Sequence[Path]) -> frozenset[Path]:
    """Files whose dates were lost: ten or more written within one second were copied, not taken."""
    dates = []
    for path in paths:
        try:
            dates.append((path.stat().st_mtime, path))
        except (OSError, ValueError):
            continue
    dates.sort(key=lambda each: (each[0], str(each[1])))
    lost: set[Path] = set()
    for index in range(len(dates) - 9):
        if dates[index + 9][0] - dates[index][0] <= 1.0:
            lost.update(path for _, path in dates[index:index + 10])
    return frozenset(lost)


def _one(path: Path, readers: Sequence[EvidenceReader], columns: dict[str, str], copied: frozenset[Path]) -> Source:
    name = str(path)
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # opening a pipe would wait for ever
            return Source(name, problem="it is no ordinary file")
        with path.open("rb") as file:
            modified = None if path in copied else os.fstat(file.fileno()).st_mtime
            with _unpacked(file) as stream:
                return _read(name, stream, readers, Handed(path.name, modified, tuple(columns.items())))
    except (OSError, ValueError, EOFError, zlib.error, lzma.LZMAError) as error:
        return Source(name, problem=plain(_reason(error), 300))


def _reason(error: Exception) -> str:
    if isinstance(error, OSError) and error.strerror:
        return f"cannot be read: {reason_of(error)}"
    if isinstance(error, zlib.error | lzma.LZMAError | EOFError):
        return "it is packed, and cannot be unpacked: it is cut off or broken"
    return str(error) or "cannot be read"


def _read(name: str, stream: BinaryIO, readers: Sequence[EvidenceReader], handed: Handed) -> Source:
    head = stream.read(HEAD)
    stream.seek(0)
    if not head:
        return Source(name, problem="it is empty")
    for reader in readers:
        try:
            if not reader.recognises(head):
                continue
            stream.seek(0)
            reading = reader.read(stream, handed)
        except PluginError as error:
            return Source(name, reader.name, problem=plain(str(error), 300))
        if not isinstance(reading, Reading):
            return Source(name, reader.name, problem=f"the reader {reader.name} gave no reading of it")
        return Source(name, reader.name, reading)
    raise ValueError("it is no evidence that any reader knows (`topo plugins` lists them)")


def _unpacked(file: BinaryIO) -> AbstractContextManager[BinaryIO]:
    """The file, or a temporary one with its unpacked bytes, at its start. Raises ValueError for a trap."""
    head = file.read(6)
    file.seek(0)
    packed: Any
    if head[:2] == b"\x1f\x8b":
        packed = _Gz(file)
    elif head == b"\xfd7zXZ\x00":
        packed = _Xz(file)
    elif head[:3] == b"BZh":
        packed = bz2.BZ2File(file)
    else:
        return nullcontext(file)
    room = max(64 * _PIECE, os.fstat(file.fileno()).st_size * MOST_RATIO)
    made = tempfile.TemporaryFile()  # noqa: SIM115 - the caller closes it
    size = 0
    try:
        while piece := packed.read(_PIECE):
            size += len(piece)
            if size > min(MOST_UNPACKED, room):
                raise ValueError("it unpacks to more than any log; not read")
            made.write(piece)
    except (EOFError, zlib.error, lzma.LZMAError):
        if not size:
            made.close()
            raise
    except BaseException:
        made.close()
        raise
    made.seek(0)
    return closing(cast(BinaryIO, made))


class _Gz:
    """Unpacks gzip, one member after the other, and gives what is there of one that is cut off."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self._unpacker = zlib.decompressobj(wbits=31)
        self._held = b""

    def read(self, size: int) -> bytes:
        """At most `size` bytes; empty at the end. Raises zlib.error, or EOFError where it is cut off."""
        while True:
            if self._unpacker.eof:
                self._held = self._unpacker.unused_data or self._file.read(_PIECE)
                if self._held[:2] != b"\x1f\x8b":
                    return b""
                self._unpacker = zlib.decompressobj(wbits=31)
            data = self._held or self._file.read(_PIECE)
            if not data:
                raise EOFError
            piece = self._unpacker.decompress(data, size)
            self._held = self._unpacker.unconsumed_tail
            if piece:
                return piece


class _Xz:
    """Unpacks xz with a bound on memory, which the library's own file lacks."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self._unpacker = lzma.LZMADecompressor(lzma.FORMAT_XZ, memlimit=XZ_MEMORY)

    def read(self, size: int) -> bytes:
        """At most `size` bytes; empty at the end. Raises LZMAError, or EOFError where it is cut off."""
        while not self._unpacker.eof:
            data = self._file.read(_PIECE) if self._unpacker.needs_input else b""
            if self._unpacker.needs_input and not data:
                raise EOFError
            if piece := self._unpacker.decompress(data, size):
                return piece
        return b""

