"""What people say of how often and of what they saw, understood or refused in words."""

from __future__ import annotations

import pytest

from tests.chase.problems import problems
from topo.chase.rhythm import every
from topo.chase.said import NIGHT_MIN, answer_of, rhythm_of
from topo.errors import CommandError
from topo.model.chase import GOES, MOVES, STAYS


@pytest.mark.parametrize(
    ("words", "interval", "shape"),
    [
        ("4 minutes", 4.0, 4.0),
        ("every 4 minutes", 4.0, 4.0),
        ("every 4 min, 10 seen", 4.0, 11.0),
        ("30 s", 0.5, 4.0),
        ("2 hours", 120.0, 4.0),
        ("twice a night", NIGHT_MIN / 2, 4.0),  # what is usual counts as three seen: a = 4, b = 16 h
        ("3 times in 2 hours", 40.0, 4.0),
        ("twice in 2 hours", 60.0, 3.0),
        ("once", NIGHT_MIN, 2.0),
        ("once in 3 nights", 3 * NIGHT_MIN, 2.0),
        ("Every  20  Minutes, once", 20.0, 2.0),
    ],
)
def test_how_often(words: str, interval: float, shape: float) -> None:
    rhythm = rhythm_of(words, 5.0)
    assert rhythm.interval == pytest.approx(interval)
    assert rhythm.shape == shape
    assert rhythm.scale == pytest.approx(shape * interval)


def test_downloads_and_always() -> None:
    assert rhythm_of("at each download", 5.0).quiet(10.0) == pytest.approx(1 * 2 / (5 * 6), rel=0.02)
    assert rhythm_of("3 of 10 downloads", 5.0).interval == pytest.approx(15.0)
    assert rhythm_of("always", 5.0).steady


@pytest.mark.parametrize("words", ["", "often", "every 0 minutes", "9 of 3 downloads", "0 times a night", "4",
                                   "every 99999999999 hours", "\x1b[2J", "4 minutes, 0 seen"])
def test_what_is_not_understood_is_refused_in_words(words: str) -> None:
    with pytest.raises(CommandError, match="how often is") as caught:
        rhythm_of(words, 5.0)
    assert "\x1b" not in str(caught.value)


def test_answers() -> None:
    case = problems(mix=(("drops", 1),))[0]
    change = next(test for test in case.tests if MOVES in test.outcomes)
    look = next(test for test in case.tests if test.is_look)
    rhythm = every(4.0)
    assert answer_of(f"{change.key}=no:18", case, rhythm).minutes == 18.0
    assert answer_of(f"{change.key}=no", case, rhythm).minutes == 12.0  # as long as was advised at most
    early = answer_of(f"{change.key}=yes:0.5", case, rhythm)
    assert (early.outcome, early.minutes) == (STAYS, 12.0)  # an early yes says no less than a late one
    assert answer_of(f"{change.key}=moved", case, rhythm).outcome == MOVES
    assert answer_of(f"{change.key}=gone:3", case, rhythm).outcome == GOES
    assert answer_of(f"{look.key}={look.outcomes[0]}", case, rhythm).minutes == 0.0
    for bad in ("nothing=yes", change.key, f"{change.key}=perhaps", f"{change.key}=no:-1", f"{look.key}=stays",
                f"{change.key}=no:1e9"):
        with pytest.raises(CommandError):
            answer_of(bad, case, rhythm)
