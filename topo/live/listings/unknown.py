"""What is said of a text that no reader reads: what it is, or what was recognised in it, and what to ask for."""

from __future__ import annotations

import re

from topo.frozen import frozen
from topo.live.listings.ask import ask_lines


@frozen
class KnownKind:
    """A format that is recognised and not read, and why."""

    name: str
    pattern: re.Pattern[str]
    why: str


REFUSED = (
    KnownKind(
        "the system information of Windows", re.compile(r"^\[System Summary\]|<MsInfo>", re.MULTILINE),
        "it lists controllers only, without what is plugged in where",
    ),
    KnownKind(
        "an export of Windows' registry", re.compile(r"Windows Registry Editor Version 5"),
        "it holds everything that was ever plugged in, with nothing to tell what is there now",
    ),
    KnownKind(
        "the help of pnputil", re.compile(r"pnputil(?:\.exe)? \[?/add-driver", re.IGNORECASE),
        "this Windows does not know what was asked; the three lines for PowerShell work on Windows 10 too",
    ),
    KnownKind("pnputil without a USB device", re.compile(r"Microsoft PnP"), "no USB device is in it"),
    KnownKind(
        "DxDiag's text without its USB part",
        re.compile(r"^[> \t]*Time of this report: |DxDiag Version: ", re.MULTILINE),
        "the section 'USB Devices' is not in it",
    ),
    KnownKind(
        "a table of Windows' devices", re.compile(r"USB\\VID_[0-9A-F]{4}&PID_[0-9A-F]{4}", re.IGNORECASE),
        "it has names and numbers of devices, but not what each is plugged into",
    ),
    KnownKind(
        "a list of devices by number", re.compile(r"^[> \t]*Bus [0-9]{3} Device [0-9]{3}: ID ", re.MULTILINE),
        "numbers come and go; it does not tell which socket a device is in, nor its speed",
    ),
    KnownKind(
        "a tree of bus and device numbers",
        re.compile(r"^/: {2}Bus [0-9.]{2,}\s?Port|\|__ Port [0-9]+: Dev ", re.MULTILINE),
        "it has neither ids nor names, and tools that print it may ask devices",
    ),
    KnownKind(
        "the system profiler of macOS", re.compile(r"^\s*(?:Hardware Overview|USB|USB Bus):\s*$", re.MULTILINE),
        "no USB device is in it; macOS 26 and later show USB elsewhere",
    ),
    KnownKind(
        "a kernel's log", re.compile(r"^[> \t]*(?:<[0-9]+>)?\[ *[0-9]+\.[0-9]{4,6}\]|\bkernel: ", re.MULTILINE),
        "no line of it tells that a USB device came, so it shows no tree; `topo evidence FILE` reads the rest",
    ),
)  # fmt: skip
"""The first that fits is named."""

PIECES = (
    ("places of USB devices (1-5.2)", re.compile(r"\busb [0-9]{1,3}-[0-9.]{1,20}\b")),
    ("vendor and product numbers", re.compile(r"\b[0-9a-f]{4}:[0-9a-f]{4}\b|\b(?:idVendor|VID)[=_ ]", re.IGNORECASE)),
    ("names of serial ports", re.compile(r"/dev/(?:tty|cu)[\w.-]+|\bCOM[0-9]{1,3}\b")),
    ("JSON", re.compile(r"\A\s*[\[{]\s*[\"{\]}]")),
    ("a property list of macOS", re.compile(r"<plist")),
    ("XML or HTML", re.compile(r"<[A-Za-z?!][^>]{0,80}>")),
    ("a rig file of topo", re.compile(r"^(?:rig|devices|computer):", re.MULTILINE)),
)
"""What is told of a text that is nothing known: what of it means something here."""


def unknown(text: str, name: str) -> str:
    """The words, on several lines, for a text that is neither a scan nor a listing that is read; `name` is plain."""
    known = next((one for one in REFUSED if one.pattern.search(text)), None)
    if known is not None:
        said = f"{name} looks like {known.name}: {known.why}."
    elif not text.strip():
        said = f"{name} is empty: neither a saved scan (`topo live --save`) nor a listing."
    else:
        found = [words for words, pattern in PIECES if pattern.search(text)]
        what = f"Recognised in it: {', '.join(found)}; no tree." if found else "Nothing in it was recognised."
        said = f"{name}: neither a saved scan (`topo live --save`) nor a listing that is known here. {what}"
    return "\n".join((said, "Ask for one of these:", *(f"  {line}" for line in ask_lines())))
