"""Cells of a terminal, and lines that fit: rich's table is held against ours."""

from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from topo.words.cells import cells, fitting, wrap


def test_every_letter_is_as_wide_as_rich_says() -> None:
    """Letters, digits, punctuation and marks; symbols and emoji change with each edition of Unicode."""
    differ = [
        char for char in map(chr, range(0x20, 0x20000))
        if unicodedata.category(char)[0] in "LNP" and cells(char) != cell_len(char)
    ]
    assert len(differ) < 60, f"{len(differ)} differ, such as {differ[:5]}"
    assert not [char for char in differ if ord(char) < 0x3000]


def test_hand_counted_cells() -> None:
    assert [cells(text) for text in ("abc", "月", "e\u0301", "\u2600\ufe0f", "한글")] == [3, 2, 1, 2, 4]


@given(st.text(max_size=60), st.integers(2, 30))
def test_lines_fit_and_lose_nothing(text: str, width: int) -> None:
    lines = wrap(text, width)
    assert all(cells(line) <= width for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert text.startswith(fitting(text, width)) and cells(fitting(text, width)) <= width
