"""Nights laid over each other: planted faults are found and told apart, and chance is left alone."""

from __future__ import annotations

import math
import random
from itertools import product

import pytest

from topo.evidence.clocks import join
from topo.evidence.nights import DAY_S, SIDEREAL_S, SURE_BELOW, LoggedNight, nights_in, over_nights, tail
from topo.evidence.open import Source
from topo.model.answers import OverNights
from topo.model.evidence import ClockSpan, Reading

TEN_PAST_TWO = 26 * 3600 + 600
"""02:10 after a midday-to-midday day that begins at 0: hour 26 of the day before."""


def night(number: int, dice: random.Random, *planted: float, more: int = 0, every_days: int = 1) -> LoggedNight:
    """A night of seven to ten hours, with planted events (seconds of its day) and others at any time."""
    day = number * every_days * DAY_S
    begins = day + 20 * 3600 + dice.uniform(0, 5400)
    ends = day + 28 * 3600 + dice.uniform(0, 5400)
    events = [day + each for each in planted] + [dice.uniform(begins, ends) for _ in range(more)]
    return LoggedNight(begins, ends, tuple(sorted(events)))


def one(found: tuple[OverNights, ...]) -> OverNights:
    (only,) = found
    return only


@pytest.mark.parametrize("seed", range(40))
def test_a_fault_at_ten_past_two_in_five_nights_is_found(seed: int) -> None:
    """Beside one event a night at any time, and with some minutes of scatter."""
    dice = random.Random(seed)
    nights = [night(n, dice, TEN_PAST_TWO + dice.uniform(-180, 180), more=1) for n in range(5)]
    found = one(over_nights(nights))
    assert found.hits == 5 and found.p < SURE_BELOW and "clock-hour" in (found.clock, *found.alike)
    if found.clock == "clock-hour":
        assert found.at_s == pytest.approx(2 * 3600 + 600, abs=200)


def test_false_alarms_stay_below_5_in_100_of_1000() -> None:
    alarms = 0
    for seed in range(1000):
        dice = random.Random(f"chance/{seed}")
        nights = [night(n, dice, more=dice.randint(1, 4)) for n in range(dice.randint(3, 7))]
        alarms += bool(over_nights(nights))
    assert alarms < 50
    assert alarms > 0  # a test that cannot fire would pass this too


def test_so_long_after_the_start_is_told_from_the_hour() -> None:
    """Nights that begin two hours apart."""
    nights = []
    for number in range(5):
        begins = number * DAY_S + 19 * 3600 + number * 4000
        nights.append(LoggedNight(begins, begins + 8 * 3600, (begins + 9000 + 40 * number,)))
    found = one(over_nights(nights))
    assert found.clock == "since-start" and found.alike == () and found.at_s == pytest.approx(9080, abs=100)


def test_the_sky_is_told_from_the_hour_after_three_weeks() -> None:
    """Four minutes earlier each night: nights a week apart."""
    dice = random.Random(3)
    nights = [night(n, dice, TEN_PAST_TWO + n * 7 * (SIDEREAL_S - DAY_S), every_days=7) for n in range(5)]
    found = one(over_nights(nights))
    assert found.clock == "attitude" and "clock-hour" not in found.alike
    near = [night(n, dice, TEN_PAST_TWO + dice.uniform(-200, 200)) for n in range(3)]
    assert one(over_nights(near)).alike  # three nights in a row cannot tell them apart


def test_two_nights_say_nothing() -> None:
    dice = random.Random(1)
    assert over_nights([night(n, dice, TEN_PAST_TWO) for n in range(2)]) == ()


@pytest.mark.parametrize("seed", range(20))
def test_the_chance_of_so_many_against_every_outcome(seed: int) -> None:
    dice = random.Random(seed)
    chances = [dice.random() for _ in range(dice.randint(0, 8))]
    for least in range(len(chances) + 2):
        wanted = math.fsum(
            math.prod(c if hit else 1 - c for c, hit in zip(chances, hits, strict=True))
            for hits in product((0, 1), repeat=len(chances)) if sum(hits) >= least
        )
        assert tail(chances, least) == pytest.approx(wanted, abs=1e-12)


def test_a_log_with_a_year_that_is_wrong_is_not_cut_into_all_nights_since() -> None:
    """Two lines two thousand years apart: no 700,000 nights are made of them."""
    reading = Reading("log", (ClockSpan("utc", "utc", -6.1e10, 1.8e9),), covers=True)
    sources = (Source("odd", "odd", reading),)
    assert nights_in(join(sources, {}, None), sources, (1.7e9,)) == ()
