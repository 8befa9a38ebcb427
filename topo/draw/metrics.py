"""How wide text gets, estimated without a font, and where to break it. Wide on purpose: no text may leave its box."""

from __future__ import annotations

import math
import unicodedata
from functools import lru_cache

from topo.draw.words import UNITS

_NARROW = frozenset("iljtfrI.,:;'`|!()[]/ ·")
_WIDE = frozenset("mwMW@%")
_BREAK_AFTER = frozenset("-_,:;+/ ")


@lru_cache(maxsize=4096)
def _advance(char: str) -> float:
    """The advance of one character in em: about that of a wide sans-serif (from memory, rounded up)."""
    if char in _NARROW:
        return 0.40
    if char in _WIDE:
        return 0.98
    if unicodedata.east_asian_width(char) in "WF":
        return 1.05
    if unicodedata.combining(char):
        return 0.0
    return 0.72 if char.isupper() else 0.62


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Estimated width of a text in the unit of `size` (pixels)."""
    return math.fsum(map(_advance, text)) * size * (1.08 if bold else 1.0)


def wrapped(text: str, width: float, size: float, bold: bool = False, most: int = 12) -> tuple[str, ...]:
    """The text in lines no wider than `width`, broken after spaces and punctuation, else anywhere.

    At most `most` lines; what is left over is cut and ends in an ellipsis. An empty text gives no line.
    """
    lines: list[str] = []
    rest = text.strip()
    while rest and len(lines) < most:
        cut = _fits(rest, width, size, bold)
        if cut < len(rest):
            soft = next((i for i in range(cut, 0, -1) if _may_break(rest, i)), 0)
            if soft > cut // 3 or text_width(_word(rest, soft), size, bold) <= width:
                cut = soft or cut
        lines.append(rest[:cut].rstrip())
        rest = rest[cut:].lstrip()
    if rest and lines:
        last = lines[-1]
        while last and text_width(last + "…", size, bold) > width:
            last = last[:-1]
        lines[-1] = last + "…"
    return tuple(lines)


def widest_word(text: str, size: float, bold: bool = False) -> float:
    """The width of the widest piece that a line is not broken within, in the unit of `size`."""
    words, at = [], 0
    while at < len(text):
        words.append(_word(text, at))
        at += len(words[-1])
    return max((text_width(word.rstrip(), size, bold) for word in words), default=0.0)


def _word(text: str, start: int) -> str:
    """From a position to where a line may end next."""
    return text[start : next((i for i in range(start + 1, len(text)) if _may_break(text, i)), len(text))]


def _may_break(text: str, at: int) -> bool:
    """Whether a line may end before this position: after a space or punctuation, not between a figure and its unit."""
    before = text[at - 1]
    if text[at] == " ":
        return not (before.isdigit() and _unit_follows(text, at + 1))
    if before == " ":
        return not (at > 1 and text[at - 2].isdigit() and _unit_follows(text, at))
    if before == "-" and text[at].isdigit():
        return False  # `usb2-1` is one word
    return before in _BREAK_AFTER and text[max(0, at - 3) : at] not in ("Mb/", "Gb/", "MB/")


def _unit_follows(text: str, at: int) -> bool:
    word = text[at : at + 8].split(" ")[0].rstrip(",.")
    return word in UNITS


def shortened(text: str, width: float, size: float) -> str:
    """The text, or as much of its start as fits with an ellipsis."""
    if text_width(text, size) <= width:
        return text
    return text[: max(1, _fits(text, width - text_width("…", size), size, False))] + "…"


def _fits(text: str, width: float, size: float, bold: bool) -> int:
    """How many characters fit, at least one, never parting a letter from marks set on it."""
    used, count = 0.0, 0
    for char in text:
        used += _advance(char) * size * (1.08 if bold else 1.0)
        if used > width and count and not unicodedata.combining(char):
            return count
        count += 1
    return count
