"""Closed forms that only tests need: what a frame-by-frame guide loop of the house is held against."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

from topo.night.forms import peak_rate
from topo.night.loop import Segment, Sway


def mean_rate(peak_to_peak: float, period_s: float) -> float:
    """Mean of its rate, taken without sign: 2 PP / P."""
    return 2.0 * peak_to_peak / period_s


def rms_rate(peak_to_peak: float, period_s: float) -> float:
    """Root mean square of its rate: pi PP / (sqrt 2 P)."""
    return peak_rate(peak_to_peak, period_s) / math.sqrt(2.0)


def sensitivity(gain: float, cycle_s: float, period_s: float) -> float:
    """Error at the measurements over motion of the mount, for a motion of that period."""
    s = math.sin(math.pi * cycle_s / period_s)
    return 2.0 * abs(s) / math.sqrt(gain * gain + 4.0 * (1.0 - gain) * s * s)


def sinusoid_rms(peak_to_peak: float, period_s: float, gain: float, cycle_s: float, middle_s: float) -> float:
    """Exact rms over time of the error on a sinusoid that is measured at an instant and corrected `middle_s` later."""
    w = 2.0 * math.pi / period_s
    z = cmath.exp(1j * w * cycle_s)
    s = (z - 1.0) / (z - 1.0 + gain)

    def part(q: complex, low: float, high: float) -> float:
        cross = (q.conjugate() * (cmath.exp(1j * w * high) - cmath.exp(1j * w * low)) / (1j * w)).real
        return float((abs(q) ** 2 + 1.0) * (high - low) + 2.0 * cross)

    square = part(s - 1.0, 0.0, middle_s) + part(s * (1.0 - gain) - 1.0, middle_s, cycle_s)
    return peak_to_peak / 2.0 / math.sqrt(2.0) * math.sqrt(square / cycle_s)


def mean_meeting(download_s: float, transfer_s: float) -> float:
    """Mean lateness of frames that meet a download served first: d (t + d/2) / (d + t)."""
    both = download_s + transfer_s
    return download_s * (transfer_s + download_s / 2.0) / both if both > 0 else 0.0


def overall(sway: Sway, segments: Sequence[Segment], skip: float) -> float:
    """rms about the lock position over all time after `skip`, arcsec: what a guide graph shows without star noise."""
    square = span = 0.0
    for low, high, correction in segments:
        if low > skip:
            square += sway.square(low, high, correction)
            span += high - low
    return math.sqrt(square / span) if span else 0.0
