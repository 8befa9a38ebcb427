"""The slips people make when they type YAML, recognised from where the parser stopped: words, a place, and a mending.

A mending serves only to read on and tell more problems at once; nothing mended is ever written or computed from.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Any

from topo.frozen import frozen
from topo.rigfile.problems import shown


@frozen
class Mistake:
    """What is wrong, at which line and column (from 1), and lines as they were perhaps meant (empty: cannot tell).

    `exact` says that mended lines keep their columns, so that more may be told of them.
    """

    line: int
    column: int
    message: str
    hint: str = ""
    mended: tuple[tuple[int, str], ...] = ()
    exact: bool = False


@frozen
class _Stop:
    """Where the parser stopped: lines of the text, its words, marks from 0, and the last scalar before."""

    lines: list[str]
    words: str
    context: str
    line: int
    column: int
    from_line: int
    from_column: int
    last: Any

    @property
    def text(self) -> str:
        return self.lines[self.line] if self.line < len(self.lines) else ""


def recognised(lines: list[str], error: Any, last: Any) -> Mistake:
    """The mistake behind a yaml.MarkedYAMLError. `last` is the last scalar event before it, or None."""
    mark = error.problem_mark or error.context_mark
    begin = error.context_mark or mark
    line, column = (mark.line, mark.column) if mark else (0, 0)
    stop = _Stop(
        lines,
        str(error.problem or ""),
        str(error.context or ""),
        line,
        column,
        begin.line if begin else line,
        begin.column if begin else column,
        last,
    )
    for rule in (_limit, _tab, _odd_space, _quote, _bracket, _no_key, _colon, _second_colon, _indentation, _character):
        found = rule(stop)
        if found is not None:
            return found
    return Mistake(line + 1, column + 1, "YAML cannot be read from here on", "compare the line with one that is right")


def _told(line: int, column: int, message: str, hint: str = "", mended: str | None = None) -> Mistake:
    """The mistake at marks from 0, as PyYAML counts, with its one line mended."""
    return Mistake(line + 1, column + 1, message, hint, () if mended is None else ((line + 1, mended),))


def _tab(stop: _Stop) -> Mistake | None:
    for number in (stop.line, stop.line - 1, stop.from_line):
        if 0 <= number < len(stop.lines) and "\t" in _indent(stop.lines[number]) and stop.lines[number].strip():
            break
    else:
        return None
    tabbed = [n for n, text in enumerate(stop.lines) if "\t" in _indent(text) and text.strip()]
    more = f"; {len(tabbed)} lines here have tabs" if len(tabbed) > 1 else ""
    # One blank for each tab is as good as any width, unless other lines are indented with blanks.
    mixed = any(text.startswith(" ") and text.strip() for text in stop.lines)
    lines = () if mixed else tuple((n + 1, stop.lines[n].replace("\t", " ")) for n in tabbed)
    column = stop.lines[number].index("\t") + 1
    return Mistake(
        number + 1,
        column,
        "this line is indented with a tab",
        f"use spaces, two for each level{more}",
        lines,
        exact=True,
    )


def _indent(text: str) -> str:
    return text[: len(text) - len(text.lstrip(" \t"))]


def _limit(stop: _Stop) -> Mistake | None:
    """libyaml has a limit of its own for brackets inside each other, far past ours, that it meets first."""
    if "nesting" not in stop.words and "exceeded" not in stop.words:
        return None
    return _told(stop.line, stop.column, "far too many levels inside each other")


def _quote(stop: _Stop) -> Mistake | None:
    hint = "close it on the same line, or leave it out"
    if "quoted scalar" in stop.context and ("end of stream" in stop.words or "document" in stop.words):
        text = stop.lines[stop.from_line]
        closed = _at_end(text, text[stop.from_column])
        return _told(stop.from_line, stop.from_column, "this quote is not closed", hint, closed)
    if "escape" in stop.words or "hexdecimal" in stop.words or "hexadecimal" in stop.words:
        return _told(
            stop.line, stop.column, "between double quotes a '\\' has a meaning of its own", "use single quotes"
        )
    last = stop.last
    if last is None or last.style not in ("'", '"'):
        return None
    start, end = last.start_mark, last.end_mark
    if start.line < end.line and end.line >= stop.line - 1:
        text = stop.lines[start.line]
        return _told(start.line, start.column, "this quote is not closed on its line", hint, _at_end(text, last.style))
    rest = stop.text[end.column : stop.column] if end.line == stop.line else "-"
    if not rest.strip() and "expected" in stop.words and "','" not in stop.words:
        return _told(
            stop.line,
            stop.column,
            "the text goes on after its closing quote",
            "inside single quotes write '' for an apostrophe",
            stop.text[: end.column],
        )
    return None


def _bracket(stop: _Stop) -> Mistake | None:
    if "flow" not in stop.context:
        return None
    text = stop.lines[stop.from_line] if stop.from_line < len(stop.lines) else ""
    char = text[stop.from_column : stop.from_column + 1]
    if stop.line > stop.from_line and char in ("{", "["):
        closed = _at_end(text, "}" if char == "{" else "]")
        return _told(
            stop.from_line,
            stop.from_column,
            f"this '{char}' is not closed on its line",
            "end it with '}'" if char == "{" else "end it with ']'",
            closed,
        )
    return _told(
        stop.line,
        stop.column,
        "a comma is missing before this, or a bracket is wrong",
        "write {key: value, key: value}",
    )


def _colon(stop: _Stop) -> Mistake | None:
    """A key without its colon, or without the blank after it: on the line the key began, or the one before."""
    if "expected ':'" in stop.words:
        return _without_colon(stop, stop.from_line) or _told(
            stop.from_line, stop.from_column, "a ':' is missing after this key", "write `key: value`"
        )
    if "mapping values" in stop.words and not re.search(r":\s", stop.text[: stop.column]):
        above = _line_above(stop)
        return _without_colon(stop, above) if above is not None else None
    return None


def _no_key(stop: _Stop) -> Mistake | None:
    indent = len(stop.text) - len(stop.text.lstrip())
    if stop.text[indent : indent + 1] == ":" and stop.column <= indent + 1:
        return _told(stop.line, indent, "a key is missing before ':'", "write `key: value`")
    return None


def _without_colon(stop: _Stop, number: int) -> Mistake | None:
    if number >= len(stop.lines):
        return None
    text = stop.lines[number]
    match = re.match(r"(\s*)(?:- +)?([^\s:#'\"\[{][^\s:#]*)(:?)(.*)", text)
    if match is None:
        return None
    key, colon, rest = match[2], match[3], match[4]
    after = match.end(2)
    if colon and rest and not rest[0].isspace():
        return _told(
            number,
            after + 1,
            f"a space is missing after '{shown(key)}:'",
            f"write `{shown(key)}: {shown(rest.strip(), 40)}`",
            f"{text[: after + 1]} {rest}",
        )
    if colon:
        return None
    if rest.strip() and ":" not in rest and "#" not in rest and _is_heading(stop.lines, number):
        key, after = text.strip(), len(text.rstrip())  # a name of several words, with what it has below it
    return _told(
        number,
        after,
        f"a ':' is missing after '{shown(key)}'",
        f"write `{shown(key)}:`",
        f"{text[:after]}:{text[after:]}",
    )


def _is_heading(lines: list[str], number: int) -> bool:
    """Whether the next line that holds something is indented deeper."""
    below = next((line for line in lines[number + 1 :] if line.strip() and not line.lstrip().startswith("#")), "")
    return len(_indent(below)) > len(_indent(lines[number]))


def _second_colon(stop: _Stop) -> Mistake | None:
    if "mapping values" not in stop.words:
        return None
    above = _line_above(stop)
    before = stop.text[: stop.column]
    if re.search(r":\s", before):
        return _told(
            stop.line,
            stop.column,
            "a second ':' stands on this line",
            "put quotes around text that holds ': '; begin a new line for a new key",
        )
    indent = len(stop.text) - len(stop.text.lstrip())
    if above is not None and indent > len(stop.lines[above]) - len(stop.lines[above].lstrip()):
        return _told(
            stop.line,
            indent,
            f"this line is indented deeper than line {above + 1}, which has a value already",
            "give both the same indentation",
        )
    return None


def _indentation(stop: _Stop) -> Mistake | None:
    text = stop.text
    indent = len(text) - len(text.lstrip())
    if "sequence entries" in stop.words or (text.lstrip().startswith("- ") and stop.column == indent):
        return _told(
            stop.line, stop.column, "an item of a list ('- ') cannot stand here", "a list stands below a key of its own"
        )
    wanted = ("expected key", "block end", "<document start>", "'-' indicator", "block mapping", "mapping keys")
    if not any(words in stop.words for words in wanted):
        return None
    if stop.column == indent and text.strip():
        above = next((n for n in range(stop.line - 1, -1, -1) if stop.lines[n].lstrip().startswith("- ")), None)
        if above is not None and len(_indent(stop.lines[above])) == indent:
            return _told(above, indent, "an item of a list ('- ') stands among entries with names",
                         "write the name and a colon, without '- '")
        known = sorted({len(line) - len(line.lstrip()) for line in stop.lines[: stop.line] if line.strip()})
        listed = " or ".join(str(width) for width in known if abs(width - indent) <= 4)
        return _told(
            stop.line,
            indent,
            f"the indentation of this line, {indent}, fits no line above it",
            f"lines above have {listed}" if listed else "",
        )
    return _told(stop.line, stop.column, "this does not belong here", "begin a new line, `key: value`")


def _odd_space(stop: _Stop) -> Mistake | None:
    """A space that looks like one and is none, as copying from a web page brings."""
    for number in range(max(0, stop.line - 2), min(stop.line + 1, len(stop.lines))):
        text = stop.lines[number]
        mended = "".join(" " if unicodedata.category(char) == "Zs" else char for char in text)
        if mended != text:
            column = next(n for n, (was, now) in enumerate(zip(text, mended, strict=True)) if was != now)
            said = "this space is not a plain one, as text copied from a page has them"
            hint = "type it anew with the space bar"
            return Mistake(number + 1, column + 1, said, hint, ((number + 1, mended),), exact=True)
    return None


def _character(stop: _Stop) -> Mistake | None:
    char = stop.text[stop.column : stop.column + 1]
    if stop.text.startswith("%"):
        return _told(stop.line, 0, "a line that starts with '%' has no meaning here", "delete it")
    if char in ("}", "]", ",") and ("content" in stop.words or "block end" in stop.words or "start" in stop.words):
        return _told(stop.line, stop.column, f"this '{char}' belongs to no bracket", "delete it")
    if "cannot start any token" in stop.words and char:
        return _told(stop.line, stop.column, f"a value cannot begin with '{shown(char)}'", "put quotes around it")
    if "alphabetic" in stop.words or "anchor" in stop.context or "alias" in stop.context or "tag" in stop.context:
        return _told(
            stop.from_line, stop.from_column, "a value cannot begin with '*', '&' or '!'", "put quotes around it"
        )
    if "block scalar" in stop.context:
        return _told(
            stop.from_line,
            stop.from_column,
            "after '|' or '>' the text begins on a new line",
            "put quotes around text that begins so",
        )
    return None


def _line_above(stop: _Stop) -> int | None:
    """The nearest line above that holds more than a comment."""
    for number in range(stop.line - 1, -1, -1):
        text = stop.lines[number].strip()
        if text and not text.startswith("#"):
            return number
    return None


def _at_end(text: str, closing: str) -> str:
    """The line with something put at its end, before a comment."""
    match = re.search(r"\s+#.*$", text)
    end = match.start() if match else len(text.rstrip())
    return text[:end] + closing + text[end:]
