"""What late guide pulses, and pulses of wrong length, cost the pictures: closed forms, and how severe that is.

A pulse that starts late lets the telescope trail further behind the mount's motion: by lateness times (1/gain + 1/2).
A pulse of wrong length leaves an error of the guide rate times the error in time at each correction; the loop takes it
out again in its own way, and what stays has the variance of one error over gain (2 - gain). Both add in squares to
seeing and star noise. All angles in arcseconds, times in seconds. Held against the loop frame by frame in tests/night/.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.night.forms import lag, noise_gain, width
from topo.night.judge import PLAIN, SEEN
from topo.night.screen import NOTHING

if TYPE_CHECKING:
    from topo.model.finding import Certainty, Severity


@frozen
class PulseCorner:
    """One corner of what is assumed: the mount's rate, the guide loop, the sky, and what pulses meet on their line.

    `inside` is the share of the trailing that stays in a picture once its mean is taken off, 0 to 1 (of its root mean
    square: `forms.window_factor`). `late_s` is how late pulses start on average, `error_s` the standard deviation of
    their length's error (0 where the mount times them); both inf where the line never catches up.
    """

    rate_arcsec_per_s: float
    inside: float
    exposure_s: float
    after_s: float
    gain: float
    noise_arcsec: float
    seeing_arcsec: float
    guide_rate_arcsec_per_s: float
    late_s: float
    error_s: float


def trailing(corner: PulseCorner, late_s: float, inside: float = 1.0) -> float:
    """Mean square distance by which a guided telescope trails a steady motion, arcsec^2; `inside` is the share of the
    trailing's root mean square that counts. The sawtooth from correction to correction counts in full."""
    cycle = corner.exposure_s + corner.after_s
    behind = lag(corner.gain, cycle, corner.exposure_s / 2.0 + corner.after_s) + late_s * (1.0 / corner.gain + 0.5)
    slow = cycle + late_s
    return corner.rate_arcsec_per_s**2 * (behind * behind * inside * inside + slow * slow / 12.0)


def variance(corner: PulseCorner, late_s: float, error_s: float) -> float:
    """Variance of the guiding error in a picture along the guided axis, star noise included, arcsec^2."""
    wrong = corner.guide_rate_arcsec_per_s * error_s
    scattered = wrong * wrong / (corner.gain * (2.0 - corner.gain))
    noise = corner.noise_arcsec**2 * noise_gain(corner.gain)
    return trailing(corner, late_s, corner.inside) + scattered + noise


@frozen
class PulseCost:
    """What the line does to pictures at one corner: rms guiding error without and with it, arcsec, and by which share
    stars widen along the guided axis (0.05 is 5 %). inf where pulses never come."""

    without_arcsec: float
    with_arcsec: float
    widening: float


def pulse_cost(corner: PulseCorner) -> PulseCost:
    """The cost at one corner."""
    without = variance(corner, 0.0, 0.0)
    if not math.isfinite(corner.late_s + corner.error_s):
        return PulseCost(math.sqrt(without), math.inf, math.inf)
    with_ = variance(corner, corner.late_s, corner.error_s)
    wider = width(corner.seeing_arcsec, with_) / width(corner.seeing_arcsec, without) - 1.0
    return PulseCost(math.sqrt(without), math.sqrt(with_), wider)


def judge_pulses(mild: float, likely: float, harsh: float) -> tuple[Severity | None, Certainty]:
    """Severity (None: this is not it) and certainty from the widening at three corners, by the rules of the night."""
    if mild >= SEEN:
        return "fault", "certain"
    if likely >= PLAIN:
        return "fault", "possible"
    if harsh >= SEEN:
        return "risk", "possible"
    if harsh >= NOTHING:
        return "note", "certain" if mild >= NOTHING else "possible"
    return None, "certain"
