"""Waits and silence at a rate that is known only roughly. Gamma and Beta conjugates: any table of conjugate priors; the
figures by hand stand in the comments."""

from __future__ import annotations

import math

import pytest

from topo.chase.rhythm import always, downloads, every


@pytest.mark.parametrize(
    ("seen", "intervals"),
    # b (0.05^(-1/a) - 1) / (b / a) with a = n + 1; ln 20 = 2.996 is the limit for a rate known for certain
    [(1, 6.944), (2, 5.143), (3, 4.459), (5, 3.885), (10, 3.443), (20, 3.219), (100, 3.040)],
)
def test_the_wait_for_95_of_100_in_mean_intervals(seen: int, intervals: float) -> None:
    assert every(1.0, seen).wait() == pytest.approx(intervals, abs=0.002)


def test_every_four_minutes_needs_eighteen() -> None:
    assert every(4.0).wait() == pytest.approx(17.84, abs=0.01)  # 16 (20^(1/4) - 1)


def test_silence_by_the_closed_form() -> None:
    assert every(15.0).quiet(30.0) == pytest.approx((60 / 90) ** 4)  # 0.198; e^-2 = 0.135 would be too sure


def test_three_waits_are_no_product() -> None:
    # (4 / (4 + 6))^4 = 0.0256; as if independent (4 / 6)^12 = 0.0077
    assert every(1.0).quiet(6.0) == pytest.approx(0.0256)
    assert every(1.0).quiet(2.0) ** 3 == pytest.approx(0.00771, abs=1e-5)


@pytest.mark.parametrize("seen", [1, 2, 3, 5, 10, 20])
@pytest.mark.parametrize("intervals", [0.5, 1.0, 3.0, 6.0, 12.0])
def test_a_few_rates_stand_for_the_gamma(seen: int, intervals: float) -> None:
    rhythm = every(7.0, seen)
    few = math.fsum(w * math.exp(-r * 7.0 * intervals) for r, w in zip(rhythm.rates, rhythm.weights, strict=True))
    assert few == pytest.approx(rhythm.quiet(7.0 * intervals), rel=0.01)
    assert math.fsum(rhythm.weights) == pytest.approx(1.0)


@pytest.mark.parametrize(("seen", "of"), [(3, 10), (3, 3), (1, 20), (5, 6)])
@pytest.mark.parametrize("silent", [1, 2, 5, 10, 20])
def test_downloads_follow_the_beta(seen: int, of: int, silent: int) -> None:
    a, b = 1 + seen, 1 + of - seen
    exact = math.prod((b + i) / (a + b + i) for i in range(silent))
    assert downloads(seen, of, 5.0).quiet(silent * 5.0) == pytest.approx(exact, rel=0.05)


def test_three_of_ten_downloads_need_eleven() -> None:
    assert math.ceil(downloads(3, 10, 5.0).wait() / 5.0) == 11
    assert min(downloads(3, 10, 5.0).waits) >= 5.0  # less than one download tells nothing


def test_trouble_that_is_always_there_needs_a_minute() -> None:
    assert always().waits == (1.0,)
    assert always().quiet(1.0) < 1e-20
