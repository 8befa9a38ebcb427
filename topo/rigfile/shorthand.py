"""What people write in place of keys, and of a socket: `cable: 2 m`, `plug: hub 1`, `plug: COM3`. Hints only."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from topo.model.rig import COMPUTER
from topo.rigfile.meant import meant_by
from topo.rigfile.problems import shown
from topo.rigfile.units import rewritten

_SERIAL = re.compile(r"(?i)(/dev/|com\d|tty|cu\.|rs-?232|serial|uart|db-?9|sub-?d)")
SERIAL_CURE = (
    "a serial lead goes into an adapter: give the adapter an entry of its own under `devices:` with "
    "`profile: serial-adapter-1port`, and write `plug: ADAPTER/serial-1` here"
)
"""Where a serial lead goes, if the computer has no serial socket."""


def is_serial_word(socket: str) -> bool:
    """True for what people call a serial port: `COM3`, `/dev/ttyUSB0`, `serial-1`, `RS232`."""
    return _SERIAL.match(socket.strip()) is not None


def plug_meant(value: str) -> str:
    """The hint for a `plug` that is not PART/SOCKET."""
    text = value.strip()
    if is_serial_word(text):
        return f"`plug` is the socket; what a program opens is `opens: {shown(text)}`; {SERIAL_CURE}"
    parts = [part for part in re.split(r"[\s\\/:;,|>]+", text) if part]
    if len(parts) == 2:
        return f"write `plug: {shown(parts[0])}/{shown(parts[1])}`"
    if len(parts) == 1 and "." in text and all(text.partition(".")[::2]):
        return f"write `plug: {shown(text.replace('.', '/', 1))}`"
    if len(parts) == 1:
        socket = "usb3-1" if text == COMPUTER else "1"
        return f"say which socket of it, for instance `plug: {shown(text)}/{socket}`"
    return "for instance computer/usb3-1"


def cable_meant(value: Any) -> str:
    """The hint for a `cable` that is a length, a grade, or both in a row: `2 m`, `usb3`, `[1.5, usb3]`."""
    pieces = [str(each) for each in value] if isinstance(value, list) else [str(value)]
    keys: dict[str, str] = {}
    for piece in pieces:
        if (length := rewritten("length_m", piece)) is not None:
            keys.setdefault("length_m", length)
            continue
        for word in _words(piece):
            if (length := rewritten("length_m", word)) is not None and "length_m" not in keys:
                keys["length_m"] = length
            elif grade := _grade(word):
                keys.setdefault("grade", grade)
            elif word.lower() == "active":
                keys["active"] = "true"
    said = ", ".join(f"{key}: {each}" for key, each in keys.items())
    return f"write `cable: {{{said}}}`" if said else ""


def _words(text: str) -> Iterable[str]:
    """Words of a text; a number keeps the unit after it, `USB 3` is one word."""
    joined = re.sub(r"(?i)\busb\s+(?=\d)", "usb", text)
    return re.sub(r"(\d)\s+(?=(?:m|cm|mm|ft|feet|in|inch|inches|metres?|meters?)\b)", r"\1", joined).split()


def _grade(word: str) -> str:
    folded = word.lower().strip(",;.")
    if folded in ("usb2", "usb3"):
        return folded
    return meant_by("grade", folded).removeprefix("write `grade: ").rstrip("`") if folded.startswith("usb") else ""


def part_of_profile(name: str, data: Mapping[str, Any]) -> str:
    """The hint for a profile's name where a part's is due: the part that has that profile; empty where none has."""
    if name == _profile(data.get("computer")):
        return f"'{shown(name)}' is its profile; the computer is called `computer` here"
    for section in ("hubs", "devices"):
        entries = data.get(section)
        for part, entry in entries.items() if isinstance(entries, dict) else ():
            if _profile(entry) == name:
                return f"'{shown(name)}' is a profile; the part is called `{shown(str(part))}`"
    return ""


def _profile(entry: Any) -> Any:
    return entry.get("profile") if isinstance(entry, dict) else None
