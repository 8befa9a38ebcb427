"""Words of a listing as values. What is not as it should be is None, never an error."""

from __future__ import annotations

import re

from topo.live.words import MOST_CHARACTERS

_SURROGATES = re.compile("[\ud800-\udfff]")


def told(value: object) -> str | None:
    """A text without blanks around it, or None where there is none."""
    if not isinstance(value, str):
        return None
    return _SURROGATES.sub("\ufffd", value.strip()[:MOST_CHARACTERS]) or None


def hex4(value: object) -> str | None:
    """A vendor or product number, "0x1234", "1234" or 4660, as four hexadecimal digits."""
    if isinstance(value, int) and not isinstance(value, bool):
        return f"{value:04x}" if 0 <= value <= 0xFFFF else None
    match = re.match(r"(?:0x)?([0-9a-fA-F]{1,4})(?![0-9a-zA-Z])", value.strip()) if isinstance(value, str) else None
    return f"{int(match[1], 16):04x}" if match else None


def whole(value: object, most: int = 1 << 40) -> int | None:
    """A whole number, decimal or 0x…, given as a number or as text."""
    if isinstance(value, bool):
        return None
    if isinstance(value, str):
        text = value.strip()
        match = re.fullmatch(r"0x([0-9a-fA-F]{1,16})|([0-9]{1,20})", text)
        value = None if match is None else int(match[1], 16) if match[1] else int(match[2])
    return value if isinstance(value, int) and 0 <= value <= most else None


def octet(value: object) -> int | None:
    """A whole number of one byte."""
    return whole(value, 255)


def lines_of(text: str, most: int = 4096) -> list[str]:
    """The lines, each cut at `most` characters, without the marks that a mail program puts before quoted lines."""
    return [re.sub(r"^[ \t]{0,8}>[> \t]{0,40}(?=\S|$)", "", line[:most]) for line in text.split("\n")]
