"""Delimited text with named columns: any delimiter, decimal commas, comments, headings that come again.

Which heading means what is told by the person, or guessed from words anyone would use. Nothing is kept but numbers.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import BinaryIO

from topo.frozen import frozen

DELIMITERS = ("\t", ";", ",", "|")
MOST_LINE = 16_384
MOST_TABLE_ROWS = 2_000_000
MOST_CELLS = 200

WORDS: Mapping[str, tuple[str, ...]] = {
    "time": ("time", "t", "timestamp", "when", "seconds", "date", "datetime", "start", "date-obs", "time_s", "utc"),
    "first": ("dx", "ra", "x", "ra_error", "ra error", "error_ra", "dx_px", "ra_arcsec", "error_x"),
    "second": ("dy", "dec", "y", "dec_error", "dec error", "error_dec", "dy_px", "dec_arcsec", "error_y"),
    "lost": ("lost", "dropped", "drop", "star_lost", "missed"),
    "mass": ("mass", "star_mass", "flux", "brightness", "signal"),
    "settling": ("settling", "settle", "dither", "dithering", "state"),
    "exposure": ("exposure", "exposure_s", "exptime", "exp", "length", "length_s", "seconds_exposed"),
    "end": ("end", "closed", "saved", "file_closed", "end_time", "finished"),
    "event": ("event", "action", "what", "kind"),
    "until": ("until", "to", "action_end"),
}
"""Names that tables know, and headings that mean them (lower case; blanks and underscores are alike)."""


@frozen
class Table:
    """How a table is laid out: delimiter, decimal comma, and the place of each column that is known."""

    delimiter: str
    comma: bool
    places: Mapping[str, int]
    heading: tuple[str, ...]


def decoded(data: bytes) -> str:
    """Text of a table; what is no UTF-8 or UTF-16 is taken as Latin-1."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def layout(lines: Iterable[str], asked: Mapping[str, str]) -> Table | None:
    """The layout that the first heading among the lines gives; None where there is none."""
    lines = list(lines)
    for number, line in enumerate(lines):
        made = _heading(line, lines[number + 1:number + 20], asked)
        if made is not None:
            return made
    return None


def _heading(line: str, below: list[str], asked: Mapping[str, str]) -> Table | None:
    bare = line.lstrip("#% ").strip()
    for delimiter in (*DELIMITERS, None):
        cells = [_clean(cell) for cell in (bare.split(delimiter) if delimiter else bare.split())]
        if not 2 <= len(cells) <= MOST_CELLS or any(re.fullmatch(r"[-+]?\d+([.,]\d*)?", cell) for cell in cells):
            continue
        places = _places(cells, asked)
        if "time" not in places or len(places) < 2:
            continue
        used = delimiter or " "
        comma = used != "," and any(re.search(r"\d,\d", row) for row in below) and not any(
            re.search(r"\d\.\d", row) for row in below)
        return Table(used, comma, places, tuple(cells))
    return None


def _places(cells: list[str], asked: Mapping[str, str]) -> dict[str, int]:
    places: dict[str, int] = {}
    for name, heading in asked.items():
        if _clean(heading) in cells:
            places[name] = cells.index(_clean(heading))
    for name, words in WORDS.items():
        if name not in places:
            for word in words:
                if _clean(word) in cells and cells.index(_clean(word)) not in places.values():
                    places[name] = cells.index(_clean(word))
                    break
    return places


def _clean(text: str) -> str:
    bare = re.sub(r"\s*[\[(].*?[\])]\s*$", "", text.strip().strip("\"'").strip())
    return bare.lower().replace(" ", "_").replace("-", "_")


def rows(stream: BinaryIO, table: Table, asked: Mapping[str, str]) -> Iterator[tuple[int, dict[str, str] | None]]:
    """Rows by name with their line, after the heading; None for one that is no row."""
    begun = False
    encoding = "utf-8-sig"
    for number in range(1, MOST_TABLE_ROWS + 1):
        raw = stream.readline(MOST_LINE)
        if not raw:
            return
        line = raw.decode(encoding, "replace").strip("\r\n\ufeff")
        if not line.strip():
            continue
        cells = _cells(line, table.delimiter)
        if not line[0].isdigit() and _is_heading(line, table):
            begun = True
            continue
        if not begun or line.lstrip().startswith(("#", "%")):
            continue
        if len(cells) <= max(table.places.values()):
            yield number, None
        else:
            yield number, {name: cells[place].strip().strip("\"'") for name, place in table.places.items()}


def _is_heading(line: str, table: Table) -> bool:
    return tuple(_clean(cell) for cell in _cells(line.lstrip("#% "), table.delimiter)) == table.heading


def _cells(line: str, delimiter: str) -> list[str]:
    if delimiter == " ":
        return line.split()
    if '"' not in line:
        return line.split(delimiter)
    try:
        return next(csv.reader([line], delimiter=delimiter))
    except (csv.Error, StopIteration):
        return line.split(delimiter)


def number_of(text: str | None, comma: bool) -> float | None:
    """The number of a cell; None for an empty cell and for what is no number."""
    if not text:
        return None
    bare = text.replace(",", ".") if comma else text
    if len(bare) > 40 or "_" in bare:
        return None
    try:
        value = float(bare)
    except ValueError:
        return None
    return value if abs(value) < 1e15 else None  # neither what is no number nor what has no end
