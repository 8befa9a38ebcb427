"""Closed forms of a guide loop: what lateness, loss and star noise do to the error of a guided mount.

Model: each frame measures the mean error over its exposure plus noise; gain times that is taken out at once when the
frame comes; the next exposure starts then. Arguments: `gain` 0..1, `cycle_s` from start to start of guide exposures,
`middle_s` from the middle of the exposure to the correction, `late_s` lateness, `period_s` and `peak_to_peak` of the
mount. All derived, and held against a frame-by-frame simulation in tests/night/.
"""

from __future__ import annotations

import math

FWHM = 2.0 * math.sqrt(2.0 * math.log(2.0))
"""Width at half height over standard deviation of a Gaussian: 2.355."""


def peak_rate(peak_to_peak: float, period_s: float) -> float:
    """Fastest rate of a sinusoid, per second: pi PP / P."""
    return math.pi * peak_to_peak / period_s


def noise_gain(gain: float) -> float:
    """Variance of the telescope's motion over the variance of star noise in one frame: g / (2 - g)."""
    return gain / (2.0 - gain)


def lag(gain: float, cycle_s: float, middle_s: float) -> float:
    """Seconds by which a guided telescope trails a drift: T/g - T/2 + a."""
    return cycle_s / gain - cycle_s / 2.0 + middle_s


def sinc(x: float) -> float:
    """sin x / x."""
    return math.sin(x) / x if x else 1.0


def window_factor(period_s: float, exposure_s: float) -> float:
    """Share of a sinusoid's rms left inside pictures once the mean of each is taken off: sqrt(1 - sinc^2(pi X / P))."""
    return math.sqrt(max(0.0, 1.0 - sinc(math.pi * exposure_s / period_s) ** 2))


def late_square(gain: float, cycle_s: float, late_s: float) -> float:
    """Integral of the squared error beyond the steady one that one late frame adds on a drift, over rate^2 (s^3)."""
    tail = cycle_s / 2.0 + cycle_s / (gain * (2.0 - gain))
    return late_s * late_s * (late_s / 3.0 + tail) + late_s * cycle_s * cycle_s / 6.0


def late_first(gain: float, cycle_s: float, late_s: float) -> float:
    """Integral of the error itself that one late frame adds on a drift, over rate (s^2)."""
    return late_s * (late_s / 2.0 + cycle_s / 2.0 + cycle_s / gain)


def lost_square(gain: float, cycle_s: float, wait_s: float) -> float:
    """As `late_square` for a lost frame; the next good one comes `wait_s` after that was due (a cycle or more)."""
    tail = cycle_s / 2.0 + (1.0 - gain) ** 2 * cycle_s / (gain * (2.0 - gain))
    return wait_s * wait_s * (wait_s / 3.0 + tail) + wait_s * cycle_s * cycle_s / 6.0


def lost_first(gain: float, cycle_s: float, wait_s: float) -> float:
    """As `late_first` for a lost frame."""
    return wait_s * (wait_s / 2.0 + cycle_s / 2.0 + (1.0 - gain) * cycle_s / gain)


def meeting_chance(download_s: float, transfer_s: float, cycle_s: float) -> float:
    """Chance that a download meets a guide transfer, phases uniform: (d + t) / T, at most 1."""
    return min(1.0, (download_s + transfer_s) / cycle_s) if cycle_s > 0 else 1.0


def width(seeing_arcsec: float, variance: float) -> float:
    """Standard deviation of a star's image along one axis, arcsec: seeing (FWHM) and motion add in squares."""
    return math.sqrt((seeing_arcsec / FWHM) ** 2 + variance)


def eccentricity(seeing_arcsec: float, along: float, across: float) -> float:
    """Eccentricity of a star's image from the variances of its motion along two axes."""
    big, small = max(along, across), min(along, across)
    return math.sqrt(max(0.0, 1.0 - (width(seeing_arcsec, small) / width(seeing_arcsec, big)) ** 2))
