"""Lines to a stream: plain text, or with rich where the stream is a terminal. The only file here that writes."""

from __future__ import annotations

import codecs
import os
import sys
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, TextIO

from topo.report.lines import Line, text_of
from topo.report.text import report_lines

if TYPE_CHECKING:
    from topo.report.compose import Report

DEFAULT_WIDTH = 80
WIDEST = 120

LOOKS = {"fault": "bold reverse", "risk": "bold", "note": "", "clear": "", "strong": "bold", "": ""}
"""Styles for a terminal. No colours: behind a red filter blue and green are black."""


def print_report(
    report: Report, width: int | None = None, stream: TextIO | None = None, whole: bool = False
) -> None:
    """Prints a report to a stream (standard output), as wide as the terminal or 80 cells; `whole` adds tables."""
    out = sys.stdout if stream is None else stream
    print_lines(report_lines(report, width or width_of(out), encoding_of(out), whole), out)


def print_lines(lines: Sequence[Line], stream: TextIO | None = None) -> None:
    """Prints lines: styled on a terminal, plain anywhere else and where NO_COLOR is set."""
    out = sys.stdout if stream is None else stream
    if not is_styled(out):
        out.write("".join(f"{text_of(line)}\n" for line in lines))
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(file=out, force_terminal=True, highlight=False, markup=False, emoji=False, soft_wrap=True)
    for line in lines:
        console.print(Text.assemble(*((text, LOOKS[style]) for text, style in line)))


def is_styled(stream: TextIO, environ: Mapping[str, str] = os.environ) -> bool:
    """True where the stream is a terminal that shows styles and nobody asked for none (no-color.org)."""
    return stream.isatty() and not environ.get("NO_COLOR") and environ.get("TERM") != "dumb"


def width_of(stream: TextIO) -> int:
    """Cells of the terminal, at most 120; 80 where the stream is none."""
    if not stream.isatty():
        return DEFAULT_WIDTH
    import shutil  # slow: every archive format comes with it

    return min(WIDEST, shutil.get_terminal_size((DEFAULT_WIDTH, 24)).columns)


def encoding_of(stream: TextIO) -> str:
    """The encoding of a stream; ASCII where it names none that Python knows."""
    try:
        return codecs.lookup(getattr(stream, "encoding", None) or "ascii").name
    except LookupError:
        return "ascii"
