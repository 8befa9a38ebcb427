"""Styled lines, and text measured in terminal cells: widths, wrapping, shortening. Knows nothing of reports."""

from __future__ import annotations

import itertools
import unicodedata
from collections.abc import Iterable, Iterator
from typing import Literal

from topo.model.plain import LONGEST, plain

Style = Literal["", "fault", "risk", "note", "clear", "strong"]
Span = tuple[str, Style]
Line = tuple[Span, ...]
"""A line is spans of text with a style each. The text alone must say everything: styles may be dropped."""

TIE = "\u00a0"
"""A space that lines are not broken at. `safe` lets none through from outside; pages print it as a plain space."""

_OWN = {0x2013: "-", 0x2026: "..."}
"""The characters outside ASCII that reports use themselves, and what stands in for them."""


def text_of(line: Line) -> str:
    """The text of a line without its styles."""
    return "".join(text for text, _ in line)


def safe(text: str, encoding: str = "utf-8") -> str:
    r"""Text that any terminal can show: nothing invisible, no spaces but the plain one, only what `encoding` can say.

    What it cannot say becomes an escape (`\u4e2d`), so that two names never look the same by loss.
    """
    shown = plain(text, LONGEST)
    if not shown.isascii():
        shown = "".join(
            char.encode("ascii", "backslashreplace").decode() if unicodedata.category(char) == "Zs" and char != " "
            else char for char in shown
        )
    try:
        shown.encode(encoding)
    except UnicodeEncodeError:
        shown = shown.translate(_OWN).encode(encoding, "backslashreplace").decode(encoding)
    return shown


def cells(text: str) -> int:
    """The terminal cells a text takes: two for wide characters, none for marks that combine (Unicode Annex 11)."""
    if text.isascii():
        return len(text)
    return sum(map(_cells_of, text))


def _cells_of(char: str) -> int:
    if char == "\ufe0f":  # asks for the wide picture of the character before it
        return 1
    if unicodedata.category(char) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in ("W", "F") else 1


def wrap(text: str, width: int) -> list[str]:
    """Lines of at most `width` cells (2 at least), broken at spaces, and inside words that are longer than a line."""
    lines: list[str] = []
    line, used = "", 0
    for word in text.split(" "):
        for piece in _pieces(word, max(2, width)):
            wide = cells(piece)
            if line and used + 1 + wide > width:
                lines.append(line)
                line, used = piece, wide
            else:
                line, used = (f"{line} {piece}", used + 1 + wide) if line else (piece, wide)
    return [*lines, line] if line or not lines else lines


def _pieces(word: str, width: int) -> Iterator[str]:
    """A word, cut where it is wider than a line: after a slash, hyphen or underscore if one is near the end."""
    while cells(word) > width:
        piece = _head(word, width)
        seam = max(piece.rfind(mark) for mark in "/-_") + 1
        piece = piece[:seam] if seam > len(piece) // 2 else piece
        yield piece
        word = word[len(piece):]
    if word:
        yield word


def pad(text: str, width: int, right: bool = False) -> str:
    """The text filled with spaces to `width` cells, on its left for `right`."""
    fill = " " * max(0, width - cells(text))
    return fill + text if right else text + fill


def shortened(names: Iterable[str], width: int, gap: str = "…") -> dict[str, str]:
    """Each name in at most `width` cells (6 at least), cut in the middle; different names stay different."""
    short: dict[str, str] = {}
    longer = []
    for name in dict.fromkeys(names):
        if cells(name) <= width:
            short[name] = name
        else:
            longer.append(name)
    taken = set(short.values())
    numbers = itertools.count(2)
    for name in longer:
        short[name] = next(cut for cut in _cuts(name, max(6, width), gap, numbers) if cut not in taken)
        taken.add(short[name])
    return short


def _cuts(name: str, width: int, gap: str, numbers: Iterator[int]) -> Iterator[str]:
    """Ways to shorten a name: from the middle outwards, then with the next of `numbers`, which never run out."""
    room = width - cells(gap)
    for step in range(room):
        head = room // 2 + (step + 1) // 2 * (-1) ** step
        if 0 < head < room:
            yield _head(name, head) + gap + _head(name[::-1], room - head)[::-1]
    for count in numbers:
        tail = f"{gap}{count}"
        yield _head(name, width - cells(tail)) + tail


def _head(text: str, width: int) -> str:
    """As much of the start of a text as fits."""
    used = 0
    for index, char in enumerate(text):
        used += cells(char)
        if used > width:
            return text[:index]
    return text
