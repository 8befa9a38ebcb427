"""Styled lines, and text measured in terminal cells: widths, wrapping, shortening. Knows nothing of reports."""

from __future__ import annotations

import itertools
import unicodedata
from collections.abc import Iterable, Iterator
from typing import Literal

from topo.model.plain import LONGEST, plain
from topo.words.cells import cells, fitting

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
            yield fitting(name, head) + gap + fitting(name[::-1], room - head)[::-1]
    for count in numbers:
        tail = f"{gap}{count}"
        yield fitting(name, width - cells(tail)) + tail
