"""Bytes of a kernel log to whole messages: encodings, mail programs' wrapping and quoting, journal JSON and export.

Nothing is kept of a line but its stamp and its message.
"""

from __future__ import annotations

import json
import quopri
import re
from collections.abc import Iterator
from typing import Any, BinaryIO

from topo.evidence.kernel.prefixes import Prefixes, Stamp
from topo.frozen import frozen

MOST_LINE = 65_536
MOST_LINES = 20_000_000
BOOT_LINE = re.compile(r"\s*-- (Re)?[Bb]oot\b.*--\s*$")
"""What journalctl puts between two boots."""
BOOT_MARK = "-- Boot --"
LONG = 35
"""A line is a continuation only after a line with so many characters of message."""

_MAILED = re.compile(rb"=3D|=C2=A0|=\r?\n")


@frozen
class Message:
    """One message with where it stands, the form of its line, its stamp and, in a journal, its boot and clocks."""

    line: int
    form: str
    stamp: Stamp
    text: str
    boot: str = ""
    exact: bool = False


def raw_lines(stream: BinaryIO) -> Iterator[tuple[int, bytes]]:
    """Lines with their numbers; the rest of an endless line is dropped."""
    for number in range(1, MOST_LINES + 1):
        line = stream.readline(MOST_LINE)
        if not line:
            return
        while len(line) >= MOST_LINE and not line.endswith(b"\n"):
            more = stream.readline(MOST_LINE)
            if not more or more.endswith(b"\n"):
                break
        yield number, line


def is_mailed(head: bytes) -> bool:
    """True where the text is in quoted-printable, as mail programs write it: more than one mark of it in a log."""
    return len(_MAILED.findall(head)) > 1


def text_lines(stream: BinaryIO, mailed: bool) -> Iterator[tuple[int, str]]:
    """Lines as text, quoted-printable undone."""
    held = b""
    for number, line in raw_lines(stream):
        if mailed:
            line = held + line
            if line.rstrip(b"\r\n").endswith(b"=") and len(line) < MOST_LINE:
                held = line.rstrip(b"\r\n")[:-1]
                continue
            held, line = b"", quopri.decodestring(line)
        yield number, line.decode("utf-8", "replace").rstrip("\r\n")
    if held:
        yield number, quopri.decodestring(held).decode("utf-8", "replace")


def messages(lines: Iterator[tuple[int, str]], year: int) -> Iterator[Message]:
    """Messages of text lines, those joined again that a mail program wrapped."""
    prefixes = Prefixes(year)
    held: Message | None = None
    for number, line in lines:
        found = prefixes.split(line)
        if found is not None:
            if held is not None:
                yield held
            held = Message(number, found[0], found[1], found[2].strip())
        elif BOOT_LINE.match(line) and held is not None:
            yield held
            held = Message(number, held.form, held.stamp, BOOT_MARK)
        elif held is not None and line.strip():
            if LONG <= len(held.text) < 2000:
                joined = f"{held.text.rstrip()} {line.strip().lstrip('>| ')}"
                held = Message(held.line, held.form, held.stamp, joined)
        elif held is not None:
            yield held
            held = None
    if held is not None:
        yield held


def journal_json(lines: Iterator[tuple[int, str]]) -> Iterator[Message]:
    """Messages of `journalctl -o json`, one object a line, or `json-pretty`, objects over lines."""
    open_, text, first = 0, "", 0
    for number, line in lines:
        line = line.lstrip("\x1e")
        if not open_ and not line.lstrip().startswith("{"):
            continue
        first = number if not open_ else first
        open_ += 1
        text += line
        if line.rstrip().endswith("}"):
            if (entry := _object(text)) is not None and (made := from_entry(first, entry)) is not None:
                yield made
            open_, text = 0, ""
        elif open_ > 200 or len(text) > MOST_LINE:
            open_, text = 0, ""


def _object(text: str) -> dict[str, Any] | None:
    try:
        entry = json.loads(text)
    except (ValueError, RecursionError):
        return None
    return entry if isinstance(entry, dict) else None


def journal_export(stream: BinaryIO) -> Iterator[Message]:
    """Messages of `journalctl -o export`: NAME=value lines, binary fields with their length, a blank line between."""
    entry: dict[str, Any] = {}
    first = 0
    for number in range(1, MOST_LINES + 1):
        line = stream.readline(MOST_LINE)
        if not line.strip():
            if entry and (made := from_entry(first, entry)) is not None:
                yield made
            entry = {}
            if not line:
                return
            continue
        first = first if entry else number
        name, equals, value = line.rstrip(b"\n").partition(b"=")
        if not equals:
            size = int.from_bytes(stream.read(8), "little")
            if size > MOST_LINE:
                return
            value = stream.read(size)
            stream.readline(2)
        if len(entry) < 200:
            entry[name.decode("ascii", "replace")] = value.decode("utf-8", "replace")


def from_entry(line: int, entry: dict[str, Any]) -> Message | None:
    """A message of a journal entry. The kernel's own stamp wins over the time of reception; both clocks are kept.

    Fields are those of systemd.journal-fields(7): microseconds as decimal text.
    """
    text = _text(entry.get("MESSAGE"))
    if text is None:
        return None
    if entry.get("_TRANSPORT") not in ("kernel", None) and "ime" not in text and "lock" not in text:
        return None
    received, source = _microseconds(entry, "__MONOTONIC_TIMESTAMP"), _microseconds(
        entry, "_SOURCE_MONOTONIC_TIMESTAMP")
    real = _microseconds(entry, "__REALTIME_TIMESTAMP")
    own = source if source is not None else received
    if real is not None and received is not None and own is not None:
        real = real - received + own
    if real is None and own is None:
        return None
    boot = entry.get("_BOOT_ID")
    return Message(line, "journal", Stamp(own, real, 0.0 if real is not None else None), text.strip(),
                   boot if isinstance(boot, str) else "", exact=received is not None)


def _microseconds(entry: dict[str, Any], name: str) -> float | None:
    value = entry.get(name)
    value = value[0] if isinstance(value, list) and value else value
    if isinstance(value, str) and value.isascii() and value.isdigit() and len(value) < 20:
        return int(value) / 1e6
    return None


def _text(value: Any) -> str | None:
    if isinstance(value, list) and value:
        if all(isinstance(item, int) and 0 <= item < 256 for item in value):
            return bytes(value).decode("utf-8", "replace")
        value = value[0]
    return value[:MOST_LINE] if isinstance(value, str) else None
