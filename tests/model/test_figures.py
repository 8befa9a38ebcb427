"""Figures in words: units, digits, ranges."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.model.facts import Figure, Range3
from topo.model.figures import (
    amount,
    arcsec,
    figure_words,
    mb_per_s,
    mbit,
    megabytes,
    number,
    percent,
    range_words,
    seconds,
)


@pytest.mark.parametrize(("value", "words"), [
    (0.0, "0 s"), (0.0541, "54.1 ms"), (0.99949, "999 ms"), (0.9996, "1 s"), (1.262, "1.26 s"), (12.0, "12 s"),
    (599.0, "599 s"), (600.0, "10 min"), (5400.0, "90 min"), (math.inf, "never"), (math.nan, "not known"),
    (None, "not known"), (Range3(1.2, 1.3, 1.4), "1.2–1.4 s (likely 1.3)"),
    (Range3(0.0541, 0.0592, 0.0652), "54–65 ms (likely 59)"), (Range3(0.0, 0.0, 0.0), "0 s"),
    (Range3(1.0, 1.0, 1.0), "1 s"), (Range3(9.51, 10.0, 10.4), "9.5–10.4 s (likely 10.0)"),
    (Range3(1.261, 1.262, 1.263), "1.26 s"), (Range3(0.0, 0.0, 1.26), "0–1.3 s (likely 0)"),
    (Range3(2.0, 3.0, math.inf), "2 s or never"), (Range3(math.inf, math.inf, math.inf), "never"),
    (Range3(math.nan, 1.0, 2.0), "not known"),
])
def test_seconds(value: float | Range3 | None, words: str) -> None:
    assert seconds(value) == words


@pytest.mark.parametrize(("words", "expected"), [
    (megabytes(52183296), "52.2 MB"), (megabytes(61e9), "61 GB"), (megabytes(16384), "16.4 kB"),
    (megabytes(None), "not known"),
    (mb_per_s(53.248), "53.2 MB/s"), (mb_per_s(0.00002), "20 B/s"), (mb_per_s(0.0096), "9.6 kB/s"),
    (mb_per_s(0.0001), "100 B/s"),
    (mb_per_s(Range3(37.7, 41.5, 45.4)), "38–45 MB/s (likely 42)"), (mb_per_s(math.inf), "no limit"),
    (mbit(480.0), "480 Mb/s"), (mbit(5000.0), "5 Gb/s"), (mbit(1.5), "1.5 Mb/s"), (mbit(None), "not known"),
    (arcsec(0.3786), "0.379 arcsec"), (percent(0.692), "69 %"), (percent(0.0489), "4.9 %"), (percent(1.0), "100 %"),
    (percent(0.999), "> 99 %"), (percent(0.99999), "100 %"), (percent(0.0002), "< 0.1 %"),
    (percent(0.0), "0 %"), (percent(None), "not known"),
    (amount(127, ""), "127"), (amount(1234567, ""), "1234567"), (amount(3.0, "m"), "3 m"),
    (amount(1500.0, "mA"), "1500 mA"),
])
def test_other_units(words: str, expected: str) -> None:
    assert words == expected


@pytest.mark.parametrize(("figure", "words"), [
    (Figure("chance that a download meets a guide frame", 0.81, "", "profile"), "81 %"),
    (Figure("hubs in a row", 6, "", "declared"), "6"),
    (Figure("lost", "possible", "", "assumed"), "possible"),
    (Figure("pool", 16.0, "MiB", "assumed"), "16 MiB"),
    (Figure("length", None, "m", "declared"), "not known"),
])
def test_figures_of_findings(figure: Figure, words: str) -> None:
    assert figure_words(figure) == words


@given(st.floats(1e-4, 1e12))
def test_a_number_is_within_half_a_digit_and_has_no_exponent(value: float) -> None:
    words = number(value)
    assert re.fullmatch(r"\d+(\.\d*[1-9])?", words)
    assert float(words) == pytest.approx(value, rel=0.0051)


@given(st.tuples(*[st.floats(0, 1e6)] * 3).map(sorted))
def test_a_range_ascends_and_is_near_what_it_says(ends: list[float]) -> None:
    words = range_words(Range3(*ends), "m")
    found = [float(text) for text in re.findall(r"(?<!<)(?<!< )\d+(?:\.\d+)?", words)]
    assert found == sorted(found) or "likely" in words
    if match := re.fullmatch(r"([\d.]+)–([\d.]+) m \(likely ([\d.]+)\)", words):
        low, high, likely = map(float, match.groups())
        assert low <= likely <= high
        assert high == pytest.approx(ends[2], rel=0.051)
        assert likely == pytest.approx(ends[1], rel=0.051, abs=0.051 * ends[2])


def test_what_is_counted_once_is_one() -> None:
    assert [amount(count, "times") for count in (0, 1, 2)] == ["0 times", "1 time", "2 times"]
    assert amount(1.0, "s") == "1 s"
