"""SuperSpeed ceilings, step by step, in exact fractions and against what chip makers print."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.usb.superspeed import ceiling_mb_per_s, steps

LINKS = st.tuples(st.sampled_from([1, 2]), st.sampled_from([1, 2]), st.integers(1, 1024))

# MB/s after each step, worked by hand. Gen 1: 625; x 8/10; x 1024/1056; 1024/1072 instead; x 354/356.
# Gen 2: 1250; x 128/132; x 1024/1060; x 40/41.
WORKED = [
    (1, 1, [625, 500, 484.85, 477.61, 474.93]),
    (2, 1, [1250, 1212.12, 1170.95, 1142.39]),
    (1, 2, [1250, 1000, 969.70, 955.22, 949.86]),
    (2, 2, [2500, 2424.24, 2341.91, 2284.79]),
]


@pytest.mark.parametrize(("generation", "lanes", "figures"), WORKED)
def test_steps(generation: int, lanes: int, figures: list[float]) -> None:
    assert [step.mb_per_s for step in steps(generation, lanes)] == pytest.approx(figures, abs=0.006)
    assert all(step.what and step.source for step in steps(generation, lanes))


@given(LINKS)
def test_exact_fractions(link: tuple[int, int, int]) -> None:
    generation, lanes, payload = link
    if generation == 1:
        exact = Fraction(5000, 8) * Fraction(8, 10) * Fraction(payload, 20 + 12 + payload + 2 * 8) * Fraction(354, 356)
    else:
        exact = Fraction(10_000, 8) * Fraction(128, 132) * Fraction(payload, 24 + 12 + payload) * Fraction(40, 41)
    assert ceiling_mb_per_s(*link) == pytest.approx(float(exact * lanes), rel=1e-12)


@given(LINKS)
def test_every_step_takes_something(link: tuple[int, int, int]) -> None:
    rates = [step.mb_per_s for step in steps(*link)]
    assert rates == sorted(rates, reverse=True) and len(set(rates)) == len(rates) and rates[-1] > 0


@given(st.sampled_from([1, 2]), st.integers(1, 1023))
def test_fuller_packets_carry_more(generation: int, payload: int) -> None:
    assert ceiling_mb_per_s(generation, 1, payload) < ceiling_mb_per_s(generation, 1, payload + 1)


def test_a_host_chip_maker_prints_about_485() -> None:
    """Link-level estimate of a chip maker: about 485 MB/s, which is framing without link commands and skips."""
    assert steps(1)[2].mb_per_s == pytest.approx(485, abs=0.5)


@pytest.mark.parametrize("published", [300, 350, 371, 377, 400, 450])
def test_published_rates_of_hosts_and_cameras_stay_below(published: float) -> None:
    """Measured and advertised payload rates at 5 Gb/s: makers' manuals, a conference paper, a chip maker's article."""
    assert published < ceiling_mb_per_s(1)


@pytest.mark.parametrize("link", [(3, 1, 1024), (1, 0, 1024), (1, 4, 1024), (1, 1, 0), (2, 1, 1025)])
def test_what_is_no_link(link: tuple[int, int, int]) -> None:
    with pytest.raises(ValueError, match="not "):
        steps(*link)
