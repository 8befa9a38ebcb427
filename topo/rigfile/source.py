"""From a path to text: limits, encodings and everything a file system can say no with. Knows nothing of YAML."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

from topo.errors import RigFileError, reason_of
from topo.later import pattern
from topo.rigfile.problems import Problems, nearest, only

MOST_FILE_BYTES = 1_048_576
"""Largest file that is read, bytes (1 MiB). A rig of 2,000 parts written out at length takes half of it."""

_TOO_LARGE = f"the file is larger than {MOST_FILE_BYTES} bytes (1 MiB), the most that is read"
# What YAML 1.1 does not call printable, and the line breaks that editors do not count as lines (NEL, LS, PS).
# Listed, not negated: a negated class of this width takes re 20 ms to compile.
_STRANGE = pattern("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")
_BREAK = pattern("\r\n|\r|\n")
_PLAIN = {ord(blank): " " for blank in "\t\n\r"}
"""What no text can do without and Python does not call printable. Nothing that is strange is printable besides."""


def load(path: str | os.PathLike[str]) -> str:
    """The text of a file as it stands, line endings included.

    Raises RigFileError for a file that is missing, may not be read, is no file, is too large or is not UTF-8 text.
    """
    name = os.fspath(path)
    try:
        with Path(name).open("rb") as file:
            status = os.fstat(file.fileno())
            if not (stat.S_ISREG(status.st_mode) or stat.S_ISFIFO(status.st_mode)):
                raise only(name, 0, 0, "this is a device, not a file")
            if status.st_size > MOST_FILE_BYTES:
                raise only(name, 0, 0, _TOO_LARGE)
            data = file.read(MOST_FILE_BYTES + 1)
    except (OSError, ValueError) as error:
        raise _cannot_read(name, error) from None
    return decoded(data, name)


def decoded(data: bytes, path: str) -> str:
    """Bytes as text. Raises RigFileError where they are too many, not UTF-8, or not text at all."""
    if len(data) > MOST_FILE_BYTES:
        raise only(path, 0, 0, _TOO_LARGE)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise only(path, 0, 0, "the file is UTF-16, and it must be UTF-8", "save it again as UTF-8")
    if b"\0" in data:
        raise only(path, 0, 0, "this is not a text file", f"the byte at offset {data.index(0)} is zero")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line, column = place_in(data[: error.start].decode("utf-8", "replace"), None)
        message = f"the file is not UTF-8: byte 0x{data[error.start]:02x} at offset {error.start}"
        raise only(path, line, column, message, "save it again as UTF-8") from None
    check_text(text, path)
    return text


def check_text(text: str, path: str) -> None:
    """Raises RigFileError for text that is too long, empty, or holds characters no text file should."""
    if len(text) > MOST_FILE_BYTES or len(text.encode("utf-8", "surrogatepass")) > MOST_FILE_BYTES:
        raise only(path, 0, 0, _TOO_LARGE)
    problems = Problems(path)
    body = text[1:] if text.startswith("\ufeff") else text
    if body.translate(_PLAIN).isprintable():
        return
    for match in _STRANGE.finditer(body):
        line, column = place_in(body, match.start())
        code = ord(match.group())
        what = f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
        problems.add(line, column, f"the invisible character {what} has no place here", "delete it")
        if len(problems) >= 10:
            break
    problems.raise_if_any()


def place_in(text: str, index: int | None) -> tuple[int, int]:
    """Line and column, from 1, of a character of the text (None: just past its end)."""
    end = len(text) if index is None else index
    line, start = 1, 0
    for match in _BREAK.finditer(text, 0, end):
        line, start = line + 1, match.end()
    return line, end - start + 1


def _cannot_read(name: str, error: OSError | ValueError) -> RigFileError:
    if isinstance(error, ValueError):  # a zero byte in the path
        return only(name, 0, 0, "no file can have this name")
    if isinstance(error, FileNotFoundError):
        return only(name, 0, 0, "there is no such file", _similar_file(name))
    if isinstance(error, IsADirectoryError):
        return only(name, 0, 0, "this is a folder, not a file", "name a file in it")
    if isinstance(error, PermissionError):
        if Path(name).is_dir():  # what some systems answer for a folder
            return only(name, 0, 0, "this is a folder, not a file", "name a file in it")
        return only(name, 0, 0, "you have no permission to read this file")
    if error.errno == errno.ENAMETOOLONG:
        return only(name, 0, 0, "no file can have a name this long")
    return only(name, 0, 0, f"the file cannot be read: {reason_of(error, 'unknown trouble')}")


def _similar_file(name: str) -> str:
    path = Path(name)
    try:
        if not path.parent.is_dir():
            return "its folder does not exist either"
        with os.scandir(path.parent) as found:
            beside = sorted(entry.name for entry, _ in zip(found, range(1000), strict=False))
    except OSError:
        return ""
    return nearest(path.name, (other for other in beside if other.endswith((".yaml", ".yml"))), 0.75)
