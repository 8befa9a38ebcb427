"""Cells, wrapping, shortening and what is let through to a terminal."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from topo.report.lines import pad, safe, shortened
from topo.words.cells import cells, wrap

NAMES = st.text(st.characters(codec="utf-8"), min_size=1, max_size=60)


def test_cells_of_wide_and_combining_characters() -> None:
    assert cells("guide") == 5
    assert cells("導星相機") == 8
    assert cells("e\u0301") == 1
    assert cells("ｇｕｉｄｅ") == 10


@pytest.mark.parametrize("hostile", [
    "\x1b[31mred", "a\u202eb", "a\nb", "a\rb", "\u200bhidden", "\x9b1m", "a\u00a0b", "\u2028",
])
def test_nothing_invisible_passes(hostile: str) -> None:
    shown = safe(hostile)
    assert all(char == " " or unicodedata.category(char)[0] not in "CZ" for char in shown)
    assert shown != hostile


def test_an_encoding_gets_only_what_it_can_say() -> None:
    assert safe("1.2–1.4 s…", "ascii") == "1.2-1.4 s..."
    assert safe("導星", "ascii") == r"\u5c0e\u661f"
    assert safe("café", "latin-1") == "café"
    assert safe("1.2–1.4 s", "latin-1") == "1.2-1.4 s"
    assert safe("\ud800") == r"\ud800"


@given(NAMES, st.sampled_from(["utf-8", "ascii", "latin-1", "cp437", "cp1252"]))
def test_safe_text_can_be_encoded_and_is_stable(name: str, encoding: str) -> None:
    shown = safe(name, encoding)
    shown.encode(encoding)
    assert safe(shown, encoding) == shown


@settings(deadline=None)  # a machine that others use too
@given(NAMES, st.integers(2, 40))
def test_wrapped_lines_fit_and_lose_only_spaces(name: str, width: int) -> None:
    shown = safe(name)
    lines = wrap(shown, width)
    assert all(cells(line) <= width and line == line.strip(" ") for line in lines)
    assert "".join(lines).replace(" ", "") == shown.replace(" ", "")


def test_long_words_break_after_a_slash() -> None:
    assert wrap("main-camera/usb2-1", 14) == ["main-camera/", "usb2-1"]


@given(st.lists(NAMES.map(safe), max_size=12), st.integers(6, 24), st.sampled_from(["…", "..."]))
def test_shortened_names_fit_and_stay_different(names: list[str], width: int, gap: str) -> None:
    short = shortened(names, width, gap)
    assert set(short) == set(names)
    assert all(cells(text) <= width for text in short.values())
    assert len(set(short.values())) == len(set(names))


def test_names_that_differ_in_the_middle_stay_different() -> None:
    names = [f"camera-on-the-{side}-telescope-of-the-pier" for side in ("left", "right", "other")]
    short = shortened(names, 16)
    assert len(set(short.values())) == 3
    assert short[names[0]].startswith("camera-")


def test_many_names_that_hardly_differ() -> None:
    names = [f"{'x' * 40}{number}{'y' * 40}" for number in range(200)]
    assert len(set(shortened(names, 10).values())) == 200


def test_padding_counts_cells() -> None:
    assert pad("導", 4) == "導  "
    assert pad("7", 3, right=True) == "  7"
    assert pad("longer", 3) == "longer"
