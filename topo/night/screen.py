"""What cannot matter is told apart without a simulation: the most that sharing can cost, by closed forms.

An upper bound at the harsh end of everything assumed: the mount at its fastest, good seeing, every meeting at its
worst. Below `NOTHING` there is nothing to say and nothing to simulate. A search may go by it alone and have the night
confirm its finalists.
"""

from __future__ import annotations

import cmath
import math

from topo.frozen import frozen
from topo.model.night import Guiding, Shooting
from topo.night.cost import Corner
from topo.night.forms import FWHM, lag, late_first, late_square, lost_first, lost_square, peak_rate, sinc

NOTHING = 0.01
"""Wider stars by less than this cannot be told from the scatter of star noise over two hours."""


@frozen
class Meetings:
    """What a guide camera meets, at the worst: every frame late by `always_s`; once in each of `others` (seconds from
    one to the next, lateness, guide frames made late each time) one late by so much. `lost` whether frames may be."""

    always_s: float
    others: tuple[tuple[float, float, int], ...]
    lost: bool
    lost_always: bool


def bound(here: Corner, guiding: Guiding, shooting: Shooting, after_s: float, met: Meetings) -> float:
    """The most by which stars in a camera's pictures can widen at a corner, as a share (0.05 is 5 %); inf where a frame
    never comes or none is good."""
    gain = here.gain
    cycle = guiding.exposure_s + after_s
    rate = peak_rate(here.peak_to_peak, here.period_s) * here.rougher + abs(here.drift)
    late = [met.always_s, *(by for _, by, _ in met.others)]
    if math.inf in late or met.lost_always:
        return math.inf
    base = (here.seeing / FWHM) ** 2
    slow = cycle + met.always_s
    trails = lag(gain, cycle, guiding.exposure_s / 2.0 + after_s)
    behind = trails + met.always_s * (1.0 / gain + 0.5)
    added = rate * rate * (behind * behind - trails * trails + (slow * slow - cycle * cycle) / 12.0)
    wait = slow + guiding.wait_s
    turned = 1.0 if here.drift else _turned(shooting.exposure_s, here.period_s)
    for every_s, by, frames in met.others:
        count = frames * _falls_into(shooting, every_s)
        square, first = late_square(gain, slow, by), late_first(gain, slow, by)
        if met.lost:
            square += lost_square(gain, slow, wait + by)
            first += lost_first(gain, slow, wait + by)
        added += count * rate * rate * (square + 2.0 * behind * first * turned) / shooting.exposure_s
    return math.sqrt(1.0 + added / base) - 1.0


def _turned(exposure_s: float, period_s: float) -> float:
    """How much of the lag at one moment is left beside the mean lag of its picture, at the worst phase of a sinusoid.

    A moment at an end of the picture is furthest from its mean: with z = 1 - sinc(a) e^(ia), a = pi X / P, the greatest
    cos t (cos t - mean cos) over all phases is (Re z + |z|) / 2.
    """
    angle = math.pi * exposure_s / period_s
    z = 1.0 - sinc(angle) * cmath.exp(1j * angle)
    return (z.real + abs(z)) / 2.0


def _falls_into(shooting: Shooting, every_s: float) -> float:
    """How many of something that comes every so often reach into one picture: those within it, and one before."""
    return math.floor(shooting.exposure_s / every_s) + 1.0 if every_s > 0 else math.inf
