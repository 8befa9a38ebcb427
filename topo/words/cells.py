"""Text measured in cells of a terminal, and broken into lines. No library: `unicodedata` is there and costs nothing.

The table of rich is held against it in the tests.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator


def cells(text: str) -> int:
    """The terminal cells a text takes: two for wide characters, none for marks that combine (Unicode Annex 11)."""
    if text.isascii():
        return len(text)
    return sum(map(_cells_of, text))


def _cells_of(char: str) -> int:
    if char == "\ufe0f":  # asks for the wide picture of the character before it
        return 1
    if unicodedata.category(char) in ("Mn", "Me") or "\u1160" <= char <= "\u11ff" or "\ud7b0" <= char <= "\ud7ff":
        return 0  # marks, and the vowels and ends of Hangul that join the letter before them
    return 2 if unicodedata.east_asian_width(char) in ("W", "F") else 1


def fitting(text: str, width: int) -> str:
    """As much of the start of a text as fits into `width` cells."""
    used = 0
    for index, char in enumerate(text):
        used += cells(char)
        if used > width:
            return text[:index]
    return text


def wrap(text: str, width: int) -> list[str]:
    """Lines of at most `width` cells (2 at least), broken at spaces, and inside words that are longer than a line.

    What stands between backticks is to be copied: it is kept on one line where it fits on one.
    """
    lines: list[str] = []
    line, used = "", 0
    for word in _words_of(text, width):
        for piece in _pieces(word, max(2, width)):
            wide = cells(piece)
            if line and used + 1 + wide > width:
                lines.append(line)
                line, used = piece, wide
            else:
                line, used = (f"{line} {piece}", used + 1 + wide) if line else (piece, wide)
    return [*lines, line] if line or not lines else lines


def _words_of(text: str, width: int) -> Iterator[str]:
    """Words between spaces; what opens with a backtick, up to the word that closes it, as one where it fits a line."""
    held: list[str] = []
    for word in text.split(" "):
        if held or (word.count("`") == 1 and word.startswith("`")):
            held.append(word)
            if len(held) > 1 and "`" in word:
                yield from [" ".join(held)] if cells(" ".join(held)) <= width else held
                held = []
        else:
            yield word
    yield from held


def _pieces(word: str, width: int) -> Iterator[str]:
    """A word, cut where it is wider than a line: after a slash, hyphen or underscore if one is near the end."""
    while cells(word) > width:
        piece = fitting(word, width)
        seam = max(piece.rfind(mark) for mark in "/-_") + 1
        piece = piece[:seam] if seam > len(piece) // 2 else piece
        yield piece
        word = word[len(piece):]
    if word:
        yield word
