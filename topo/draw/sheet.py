"""A page of plain lines as a PDF to print, through the same engine as the diagrams."""

from __future__ import annotations

from collections.abc import Sequence

from topo.draw.dot import escaped
from topo.draw.engine import drawn

INNER_INCHES = {"a4": "7.27,10.69", "letter": "7.5,10"}
"""A sheet of paper less a margin of half an inch all round; longer text is scaled down to one page."""


def pdf_of_text(lines: Sequence[str], paper: str = "a4") -> bytes:
    """One page in a fixed-width face holding the lines. Raises CommandError where no engine is there."""
    return drawn(dot_of_text(lines, paper), "pdf")


def dot_of_text(lines: Sequence[str], paper: str = "a4") -> str:
    """The page as DOT: one node whose label is a table with a row for each line. Every line is escaped."""
    rows = "".join(f'<tr><td align="left">{_cell(line)}</td></tr>' for line in lines) or "<tr><td></td></tr>"
    label = f'<table border="0" cellborder="0" cellspacing="0" cellpadding="0">{rows}</table>'
    return (
        f'digraph {{ graph [margin="0.5", size="{INNER_INCHES[paper]}"];'
        f' sheet [shape=plain, pos="0,0", fontname="DejaVu Sans Mono,Courier", fontsize=11, label=<{label}>]; }}\n'
    )


def _cell(line: str) -> str:
    """A line with its leading spaces kept; an empty one keeps its height."""
    text = line.lstrip(" ")
    return "&#160;" * (len(line) - len(text)) + escaped(text) if text else "&#160;"
