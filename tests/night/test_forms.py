"""Closed forms of a guide loop against a simulation that shares no formula with them, frame by frame.

Peak and mean rate of a sinusoid are textbook (its derivative); the integrator's sensitivity follows from the difference
equation of a sampled integral controller with one step of delay (textbooks of sampled control).
"""

from __future__ import annotations

import math
from random import Random

import pytest

from tests.night import closed_forms
from topo.night import forms
from topo.night.loop import Loop, Sway, picture, run

STRAIN = (45.0, 431.0, 1.5, 0.09)
WORM = (15.0, 480.0, 2.0, 0.09)


def sway(pp: float, period: float, seed: int = 1, drift: float = 0.0) -> Sway:
    return Sway(((pp / 2, 2 * math.pi / period, Random(seed).random() * 2 * math.pi),), drift)


@pytest.mark.parametrize(
    ("pp", "period", "peak", "mean"),
    [(45, 431, 0.328, 0.209), (19, 431, 0.138, 0.088), (15, 480, 0.098, 0.0625), (120, 480, 0.785, 0.5)],
)
def test_rates_of_a_sinusoid(pp: float, period: float, peak: float, mean: float) -> None:
    assert forms.peak_rate(pp, period) == pytest.approx(peak, abs=6e-4)
    assert closed_forms.mean_rate(pp, period) == pytest.approx(mean, abs=6e-4)
    moving = sway(pp, period)
    rates = [abs(moving.rate(i * period / 20_000)) for i in range(20_000)]
    assert max(rates) == pytest.approx(forms.peak_rate(pp, period), rel=1e-6)
    assert math.fsum(rates) / len(rates) == pytest.approx(closed_forms.mean_rate(pp, period), rel=1e-6)
    square = math.fsum(rate * rate for rate in rates) / len(rates)
    assert math.sqrt(square) == pytest.approx(closed_forms.rms_rate(pp, period), rel=1e-6)


@pytest.mark.parametrize("period", [10, 20, 60, 120, 431, 480])
@pytest.mark.parametrize(("gain", "cycle"), [(0.7, 1.6), (0.5, 2.1)])
def test_sensitivity_at_six_periods(period: float, gain: float, cycle: float) -> None:
    moving = sway(2.0, period)
    segments = run(moving, Loop(0.0, cycle, gain), 0.0, 60 * period)
    errors = [moving.at(low) - correction for low, _, correction in segments if low > 100]
    rms = math.sqrt(math.fsum(e * e for e in errors) / len(errors)) * math.sqrt(2)
    assert rms == pytest.approx(closed_forms.sensitivity(gain, cycle, period), rel=0.02)


def test_below_seven_cycles_guiding_makes_it_worse() -> None:
    for gain in (0.3, 0.5, 0.7, 0.9):
        turn = math.pi / math.asin(math.sqrt(gain) / 2)
        assert closed_forms.sensitivity(gain, 1.0, turn) == pytest.approx(1.0)
    assert math.pi / math.asin(math.sqrt(0.7) / 2) == pytest.approx(7.28, abs=0.01)


@pytest.mark.parametrize("gain", [0.3, 0.5, 0.7, 0.9])
def test_star_noise_moves_the_telescope(gain: float) -> None:
    still = Sway(())
    segments = run(still, Loop(0.0, 1.0, gain, 1.0), 0.0, 40_000.0, dice=Random(5))
    moved = math.fsum(c * c for _, _, c in segments) / len(segments)
    assert moved == pytest.approx(forms.noise_gain(gain), rel=0.03)


@pytest.mark.parametrize(("gain", "exposure", "after"), [(0.7, 1.5, 0.09), (0.5, 2.0, 0.6), (0.9, 1.0, 0.2)])
def test_lag_and_sawtooth_on_a_drift(gain: float, exposure: float, after: float) -> None:
    cycle, middle = exposure + after, exposure / 2 + after
    moving = Sway((), 0.2)
    segments = run(moving, Loop(exposure, after, gain), 0.0, 1000.0)
    means = [moving.area(a, b) / (b - a) - c for a, b, c in segments[100:]]
    mean = math.fsum(means) / len(means)
    assert mean / 0.2 == pytest.approx(forms.lag(gain, cycle, middle), rel=1e-6)
    spread = closed_forms.overall(moving, segments, 200.0) ** 2 - mean**2
    assert math.sqrt(spread) / 0.2 / cycle == pytest.approx(1 / math.sqrt(12), rel=1e-5)
    settled = run(moving, Loop(exposure, after, gain), 0.0, 20.0, settled=True)
    assert settled[3][2] - settled[2][2] == pytest.approx(0.2 * cycle, rel=1e-9)


@pytest.mark.parametrize(("pp", "period", "exposure", "after"), [STRAIN, WORM])
def test_error_on_a_sinusoid(pp: float, period: float, exposure: float, after: float) -> None:
    moving, cycle, middle = sway(pp, period, 2), exposure + after, exposure / 2 + after
    segments = run(moving, Loop(exposure, after, 0.7), 0.0, 40 * period)
    exact = closed_forms.sinusoid_rms(pp, period, 0.7, cycle, middle)
    assert closed_forms.overall(moving, segments, 60.0) == pytest.approx(exact, rel=0.02)
    by_lag = closed_forms.rms_rate(pp, period) * math.sqrt(forms.lag(0.7, cycle, middle) ** 2 + cycle**2 / 12)
    assert by_lag == pytest.approx(exact, rel=0.02)


@pytest.mark.parametrize(("period", "exposure", "factor"), [(431, 120, 0.480), (431, 300, 0.928), (480, 120, 0.435)])
def test_what_of_a_sinusoid_is_left_inside_a_picture(period: float, exposure: float, factor: float) -> None:
    assert forms.window_factor(period, exposure) == pytest.approx(factor, abs=1e-3)
    moving = sway(2.0, period, 4)
    still = [(float(t), t + 1.0, 0.0) for t in range(int(period * 4) + 400)]
    step = period * 3.0 / 40
    inside = [picture(moving, still[int(i * step) :], i * step, i * step + exposure).variance for i in range(40)]
    assert math.sqrt(2 * math.fsum(inside) / 40) == pytest.approx(factor, rel=0.03)


CASES = [(0.7, 1.5, 0.09, 1.3), (0.7, 2.0, 0.09, 3.3), (0.5, 1.0, 0.6, 0.4), (0.9, 1.5, 0.1, 6.8)]


def event(gain: float, exposure: float, after: float, wait: float, lost: bool) -> tuple[float, float, float]:
    """Squared and plain integral of the error that one event adds on a drift of 1 arcsec/s, and its height."""
    moving, loop, cycle = Sway((), 1.0), Loop(exposure, after, gain), exposure + after
    mean = forms.lag(gain, cycle, exposure / 2 + after)
    segments = run(moving, loop, 0.0, 300 * cycle,
                   lambda ready, k: (ready + wait, not lost) if k == 100 else (ready, True))[99:200]
    square = math.fsum(moving.square(a, b, c + mean) - cycle**2 / 12 * (b - a) for a, b, c in segments)
    first = math.fsum(moving.area(a, b) - (c + mean) * (b - a) for a, b, c in segments)
    usual = moving.at(segments[-1][1]) - segments[-1][2]
    return square, first, max(moving.at(b) - c for _, b, c in segments) - usual


@pytest.mark.parametrize(("gain", "exposure", "after", "late"), CASES)
def test_one_late_frame(gain: float, exposure: float, after: float, late: float) -> None:
    square, first, height = event(gain, exposure, after, late, False)
    assert square == pytest.approx(forms.late_square(gain, exposure + after, late), rel=1e-5)
    assert first == pytest.approx(forms.late_first(gain, exposure + after, late), rel=1e-5)
    assert height == pytest.approx(late, rel=1e-5)


@pytest.mark.parametrize(("gain", "exposure", "after", "wait"), [*CASES, (0.7, 1.5, 0.09, 0.0)])
def test_one_lost_frame(gain: float, exposure: float, after: float, wait: float) -> None:
    square, first, _ = event(gain, exposure, after, wait, True)
    assert square == pytest.approx(forms.lost_square(gain, exposure + after, wait + exposure + after), rel=1e-5)
    assert first == pytest.approx(forms.lost_first(gain, exposure + after, wait + exposure + after), rel=1e-5)


def test_a_lost_frame_costs_half_of_one_late_by_a_cycle() -> None:
    assert forms.lost_square(0.7, 1.59, 1.59) / forms.late_square(0.7, 1.59, 1.59) == pytest.approx(0.524, abs=2e-3)


@pytest.mark.parametrize("gain", [0.5, 0.7, 0.9])
def test_every_third_frame_lost(gain: float) -> None:
    moving = Sway((), 1.0)
    segments = run(moving, Loop(0.0, 1.0, gain), 0.0, 600.0, lambda ready, k: (ready, k % 3 != 2))
    errors = [moving.at(low) - c for k, (low, _, c) in enumerate(segments) if k % 3 == 0 and k > 300]
    assert errors[-1] == pytest.approx((3 - gain) / (gain * (2 - gain)), rel=1e-6)


@pytest.mark.parametrize(("d", "t", "cycle"), [(1.3, 0.055, 1.59), (1.3, 0.08, 2.0), (0.4, 0.1, 2.09)])
def test_chance_and_mean_of_meetings(d: float, t: float, cycle: float) -> None:
    dice, late, count = Random(3), [], 40_000
    for _ in range(count):
        start = dice.random() * cycle
        start = start - cycle if start > cycle - t else start
        if start < d:
            late.append(d if start < 0 else d - start)
    assert len(late) / count == pytest.approx(forms.meeting_chance(d, t, cycle), abs=8e-3)
    assert math.fsum(late) / len(late) == pytest.approx(closed_forms.mean_meeting(d, t), rel=0.02)


def test_widths_of_stars() -> None:
    assert pytest.approx(2.3548, abs=1e-4) == forms.FWHM
    assert forms.eccentricity(2.5, 0.8**2, 0.4**2) == pytest.approx(0.521, abs=1e-3)
    for growth, share in ((0.02, 0.085), (0.05, 0.136), (0.10, 0.195)):
        wider = forms.width(2.5, (share * 2.5) ** 2) / forms.width(2.5, 0.0)
        assert wider == pytest.approx(1 + growth, abs=1e-3)
