"""Plain lines as a PDF to print: full-size letters on as many pages as it takes, through the engine of the diagrams."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence

from topo.frozen import frozen

LETTER_POINTS = 11
"""Size of the letters: what is read by a dim torch at arm's length."""

LINE_POINTS = 14
PAPER_POINTS = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
"""Width and height (ISO 216; ANSI/ASME Y14.1)."""

LETTER_WIDTH = 0.617
"""Width of a letter over its size as drawn: DejaVu Sans Mono and Courier have 0.60, and the engine rounds up."""

SHEET_COLUMNS = 80
MARGIN_POINTS = 36.0


@frozen
class Passage:
    """Lines that stay together on a page. The first `strong` of them are printed bold. `keeps` is true of a heading,
    which is never the last on a page."""

    lines: tuple[str, ...]
    strong: int = 0
    keeps: bool = False


def pdf_of_blocks(blocks: Sequence[Passage], foot: str, paper: str = "a4") -> bytes:
    """The pages in a fixed-width face, each exactly as large as the paper; `foot` and the page's number stand below.

    Raises CommandError where no engine is there.
    """
    from pypdf import PdfReader, PdfWriter, Transformation

    from topo.draw.engine import drawn

    pages = tuple(paged(blocks, rows_of(paper)))
    writer = PdfWriter()
    wide, high = PAPER_POINTS[paper]
    for number, page in enumerate(pages, 1):
        below = f"{foot[: SHEET_COLUMNS - 16]} · page {number} of {len(pages)}"
        (drawing,) = PdfReader(io.BytesIO(drawn(dot_of_page(page, below, paper), "pdf"))).pages
        from_top = Transformation().translate(0, high - float(drawing.mediabox.height))
        writer.add_blank_page(wide, high).merge_transformed_page(drawing, from_top)
    whole = io.BytesIO()
    writer.write(whole)
    return whole.getvalue()


def rows_of(paper: str) -> int:
    """How many lines a page holds above its foot."""
    return int((PAPER_POINTS[paper][1] - 2 * MARGIN_POINTS) / LINE_POINTS) - 2


def paged(blocks: Sequence[Passage], rows: int) -> Iterator[tuple[tuple[str, bool], ...]]:
    """Pages of lines, each with whether it is bold. A block is parted only where it is longer than a page."""
    page: list[tuple[str, bool]] = []
    for group in _groups(blocks):
        lines = [(line, index < block.strong) for block in group for index, line in enumerate(block.lines)]
        if page and len(page) + len(lines) > rows:
            yield tuple(page)
            page = []
        if not page:
            while lines and not lines[0][0]:
                lines.pop(0)
        page += lines
        while len(page) > rows:
            yield tuple(page[:rows])
            page = page[rows:]
    if page:
        yield tuple(page)


def _groups(blocks: Sequence[Passage]) -> Iterator[list[Passage]]:
    """Headings with the block they stand over."""
    group: list[Passage] = []
    for block in blocks:
        group.append(block)
        if not block.keeps:
            yield group
            group = []
    if group:
        yield group


def dot_of_page(lines: Sequence[tuple[str, bool]], foot: str, paper: str) -> str:
    """One page as DOT: a node as large as the paper less its margins, a row of a table for each line, all escaped."""
    wide, high = PAPER_POINTS[paper]
    side = (wide - SHEET_COLUMNS * LETTER_WIDTH * LETTER_POINTS) / 2
    inner = high - 2 * MARGIN_POINTS
    rows = "".join(_row(line, bold, LINE_POINTS) for line, bold in lines)
    rest = inner - (len(lines) + 1) * LINE_POINTS
    rows += f'<tr><td fixedsize="true" width="{wide - 2 * side:.0f}" height="{max(1.0, rest):.0f}"></td></tr>'
    label = (f'<table border="0" cellborder="0" cellspacing="0" cellpadding="0">{rows}'
             f"{_row(foot, False, LINE_POINTS)}</table>")  # fmt: skip
    font = f'fontname="DejaVu Sans Mono,Courier", fontsize={LETTER_POINTS}'
    margin = f'graph [margin="{side / 72:.3f},{MARGIN_POINTS / 72:.3f}"]'
    return f'digraph {{ {margin}; sheet [shape=plain, pos="0,0", {font}, label=<{label}>]; }}\n'


def _row(line: str, bold: bool, height: float) -> str:
    """A line with its leading spaces kept; an empty one keeps its height."""
    from topo.draw.dot import escaped  # with all of drawing: who only prints the passages does without

    text = line.lstrip(" ")
    cell = "&#160;" * (len(line) - len(text)) + (f"<b>{escaped(text)}</b>" if bold else escaped(text))
    return f'<tr><td align="left" height="{height}">{cell if text else "&#160;"}</td></tr>'
