"""A page being written: words in a gutter on the left, text beside them, tables whose cells wrap. Never too wide.

All text passes `safe` here, once, so nothing that comes from a file reaches the terminal as it came.
"""

from __future__ import annotations

from collections.abc import Sequence

from topo.frozen import frozen
from topo.report.lines import TIE, Line, Span, Style, pad, safe, shortened
from topo.words.cells import cells, wrap

GUTTER = 11
"""Cells of the gutter: the longest word in it and a space."""

COLUMN_GAP = 2
"""Cells between the columns of a table."""

MARK = "?"
"""The mark for what rests on an assumption. At the end of a cell it stays with the word before it."""

READABLE = 13
"""Cells texts and names in a table keep before the words of other columns are broken."""

LEAST_WIDTH = 40
"""A page narrower than this is written as wide as this."""


@frozen
class Column:
    """A column of a table. Cells of a `name` column are shortened in the middle to `most` cells; others wrap."""

    head: str
    right: bool = False
    most: int = 0


class Page:
    """Lines of at most `width` cells that `encoding` can say."""

    def __init__(self, width: int = 80, encoding: str = "utf-8") -> None:
        self.width = max(LEAST_WIDTH, width)
        self.encoding = encoding
        self.lines: list[Line] = []
        self._gap = safe("…", encoding)

    def blank(self) -> None:
        """An empty line, unless the page is empty or already ends in one."""
        if self.lines and self.lines[-1]:
            self.lines.append(())

    def say(self, text: str, word: str = "", style: Style = "", text_style: Style = "") -> None:
        """A paragraph beside the gutter, with a word in the gutter of its first line."""
        for index, line in enumerate(wrap(safe(text, self.encoding), self.width - GUTTER)):
            shown = word if index == 0 else ""
            self._add((shown, style), (pad("", GUTTER - cells(shown)), ""), (line, text_style))

    def hang(self, text: str, indent: int, mark: str = "") -> None:
        """A paragraph at an indent, with a mark that hangs before its first line."""
        for index, line in enumerate(wrap(safe(text, self.encoding), self.width - indent)):
            before = pad(mark if index == 0 else "", indent, right=True)
            self._add((before, ""), (line, ""))

    def table(self, columns: Sequence[Column], rows: Sequence[Sequence[str]], indent: int = 2) -> None:
        """A table with its heads, as wide as it needs and no wider than the page. Empty where it has no rows."""
        if not rows:
            return
        shown = [[self._cell(cell, column) for cell, column in zip(row, columns, strict=True)] for row in rows]
        heads = [safe(column.head, self.encoding) for column in columns]
        if any(heads):
            shown.insert(0, heads)
        widths = _widths(columns, shown, self.width - indent - COLUMN_GAP * (len(columns) - 1))
        for index, column in enumerate(columns):
            if column.most:
                short = shortened((row[index] for row in shown), widths[index], self._gap)
                shown = [[*row[:index], short[row[index]], *row[index + 1:]] for row in shown]
        for number, row in enumerate(shown):
            self._row(columns, row, widths, indent, "strong" if number == 0 and any(heads) else "")

    def _cell(self, text: str, column: Column) -> str:
        """A cell's text, its figures and names tied so that they wrap at sensible places only."""
        shown = safe(text, self.encoding)
        if column.most:
            return shown.replace(" ", TIE)
        if column.right:
            return shown.replace(" ", TIE).replace(f"{TIE}(", " (")
        return f"{shown[:-2]}{TIE}{MARK}" if shown.endswith(f" {MARK}") else shown

    def _row(self, columns: Sequence[Column], row: Sequence[str], widths: Sequence[int], indent: int,
             style: Style) -> None:
        wrapped = [wrap(cell, width) for cell, width in zip(row, widths, strict=True)]
        for level in range(max(map(len, wrapped))):
            texts = [lines[level] if level < len(lines) else "" for lines in wrapped]
            padded = [pad(text, width, column.right)
                      for text, width, column in zip(texts, widths, columns, strict=True)]
            self._add((" " * indent, ""), ((" " * COLUMN_GAP).join(padded), style))

    def _add(self, *spans: Span) -> None:
        """One line, without spaces at its end."""
        kept = list(spans)
        while kept:
            text, style = kept.pop()
            if stripped := text.rstrip(f" {TIE}"):
                kept.append((stripped, style))
                break
        self.lines.append(tuple((text.replace(TIE, " "), style) for text, style in kept if text))


def _widths(columns: Sequence[Column], rows: Sequence[Sequence[str]], room: int) -> list[int]:
    """Column widths: as needed, and where that is too much, cells taken from the columns with most to give.

    First texts and names give way down to a readable rest and figures down to their longest word, one column after the
    other, so that few wrap; after that all together, a cell at a time.
    """
    count = range(len(columns))
    widths = [max(cells(row[index]) for row in rows) for index in count]
    widths = [min(width, column.most or width) for width, column in zip(widths, columns, strict=True)]
    words = [max(cells(word) for row in rows for word in row[index].split(" ")) for index in count]
    readable = [min(width, word if column.right else READABLE)
                for width, column, word in zip(widths, columns, words, strict=True)]
    for index in sorted(count, key=lambda index: readable[index] - widths[index]):
        widths[index] -= max(0, min(widths[index] - readable[index], sum(widths) - room))
    while sum(widths) > room and max(widths) > 1:
        widths[widths.index(max(widths))] -= 1
    return widths
