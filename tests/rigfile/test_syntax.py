"""Slips of the pen in YAML: plain words, the right place, the same with either of PyYAML's parsers, and reading on."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from tests.rigfile.test_read import HEAD, problems_of
from topo.errors import RigFileError
from topo.rigfile.problems import Problems
from topo.rigfile.syntax import parsed

SLIPS = [
    ("a:\n\tb: 1\n", 2, 1, "this line is indented with a tab", "use spaces, two for each level"),
    ("a:\n\tb: 1\n\tc: 1\n", 2, 1, "this line is indented with a tab",
     "use spaces, two for each level; 2 lines here have tabs"),
    ("a: 1\nb: {c: 1\nd: 2\n", 2, 4, "this '{' is not closed on its line", "end it with '}'"),
    ("a: [1, 2\nb: 2\n", 1, 4, "this '[' is not closed on its line", "end it with ']'"),
    ("a: {b: 1 c: 2}\n", 1, 11, "a comma is missing before this, or a bracket is wrong",
     "write {key: value, key: value}"),
    ("a: 'x\nb: 1\n", 1, 4, "this quote is not closed", "close it on the same line, or leave it out"),
    ('a: "x\nb: "y"\n', 1, 4, "this quote is not closed on its line", "close it on the same line, or leave it out"),
    ("a: 'it's dark'\n", 1, 8, "the text goes on after its closing quote",
     "inside single quotes write '' for an apostrophe"),
    ("a:\n  mount\n    role: x\n", 2, 8, "a ':' is missing after 'mount'", "write `mount:`"),
    ("a:\n  plug x/1\n  role: x\n", 2, 7, "a ':' is missing after 'plug'", "write `plug:`"),
    ("a:\n  plug:x/1\n  role: x\n", 2, 8, "a space is missing after 'plug:'", "write `plug: x/1`"),
    ("a: b: c\n", 1, 5, "a second ':' stands on this line",
     "put quotes around text that holds ': '; begin a new line for a new key"),
    ("a: b\n  c: d\n", 2, 3, "this line is indented deeper than line 1, which has a value already",
     "give both the same indentation"),
    ("a:\n    b: 1\n   c: 2\n", 3, 4, "the indentation of this line, 3, fits no line above it",
     "lines above have 0 or 4"),
    ("a: 1\n- b\n", 2, 1, "an item of a list ('- ') cannot stand here", "a list stands below a key of its own"),
    ("a: @x\n", 1, 4, "a value cannot begin with '@'", "put quotes around it"),
    ("a: }\n", 1, 4, "this '}' belongs to no bracket", "delete it"),
    ("a: *\n", 1, 4, "a value cannot begin with '*', '&' or '!'", "put quotes around it"),
    ("a: |x\n", 1, 4, "after '|' or '>' the text begins on a new line", "put quotes around text that begins so"),
    ("%YAML 3.0\n---\na: 1\n", 1, 1, "a line that starts with '%' has no meaning here", "delete it"),
]  # fmt: skip


@pytest.mark.parametrize("loader", [yaml.CSafeLoader, yaml.SafeLoader])
@pytest.mark.parametrize(("text", "line", "column", "message", "hint"), SLIPS, ids=[repr(row[0]) for row in SLIPS])
def test_slips(text: str, line: int, column: int, message: str, hint: str, loader: Any) -> None:
    problems = Problems("x")
    try:
        parsed(text, problems, loader)
        error = problems.error()
    except RigFileError as raised:
        error = raised
    assert [(p.line, p.column, p.message, p.hint) for p in error.problems] == [(line, column, message, hint)]


def test_a_backslash_between_double_quotes() -> None:
    assert problems_of('rig: "C:\\windows"\n')[0][2:] == (
        "between double quotes a '\\' has a meaning of its own",
        "use single quotes",
    )


def test_several_slips_and_what_stands_behind_them_are_told_at_once() -> None:
    text = (
        "rig:Test\ncomputer: {}\ndevices:\n  mount\n    rol: mount\n  cam:\n    plug computer/a\n"
        "    cable: {length_m: 3 m\n    role: imager\n    guides: muont\n"
    )
    assert [(line, message) for line, _, message, _ in problems_of(text)] == [
        (1, "a space is missing after 'rig:'"),
        (4, "a ':' is missing after 'mount'"),
        (5, "there is no key 'rol' here"),
        (7, "a ':' is missing after 'plug'"),
        (8, "this '{' is not closed on its line"),
        (9, "`role` cannot be 'imager'"),
        (10, "there is no device 'muont' to guide"),
    ]


def test_a_file_indented_with_tabs_is_read_on_with_true_columns() -> None:
    text = HEAD + "devices:\n\tcam:\n\t\trole: imager\n"
    assert [row[:3] for row in problems_of(text)] == [
        (4, 1, "this line is indented with a tab"),
        (5, 9, "`role` cannot be 'imager'"),
    ]


def test_tabs_among_blanks_are_told_and_nothing_is_guessed() -> None:
    text = HEAD + "devices:\n  cam:\n\t\trole: imager\n"
    assert [row[:3] for row in problems_of(text)] == [(5, 1, "this line is indented with a tab")]
