"""Numbers and texts from the bytes of an attribute. What is not as it should be is None, never an error."""

from __future__ import annotations

MOST_CHARACTERS = 512
"""Longest text kept; a USB string has at most 126 characters (USB 2.0 9.6.7)."""


def text_of(data: bytes | None) -> str | None:
    """The text without the newline sysfs ends it with; None where there is none."""
    if data is None:
        return None
    text = data[: 4 * MOST_CHARACTERS].decode("utf-8", "replace").removesuffix("\n")[:MOST_CHARACTERS]
    return text or None


def digits(data: bytes | None, unit: str = "") -> int | None:
    """A whole number in decimal, with its unit behind it where one is written."""
    text = (text_of(data) or "").strip().removesuffix(unit).strip()
    signless = text.removeprefix("-")
    return int(text) if signless.isascii() and signless.isdigit() and len(signless) < 16 else None


def hexadecimal(data: bytes | None) -> int | None:
    """A whole number in hexadecimal, with or without 0x."""
    text = (text_of(data) or "").strip().lower().removeprefix("0x")
    return int(text, 16) if 0 < len(text) <= 8 and all(c in "0123456789abcdef" for c in text) else None


def number(data: bytes | None) -> float | None:
    """A decimal number, as a speed (1.5) or a version (2.10)."""
    text = (text_of(data) or "").strip()
    whole, _, part = text.partition(".")
    if not (whole + part).isascii() or not whole.isdigit() or (part and not part.isdigit()) or len(text) > 15:
        return None
    return float(text)
