"""A guide loop on a moving mount, frame by frame: the error while a shutter is open, and how lateness changes it.

The mount is a sinusoid with its harmonics and a drift; between corrections its motion is integrated exactly, so that
small differences are not lost in steps. Star noise is drawn only where it is asked for: what lateness adds is taken
from runs without noise, with the same mount and the same pictures.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from random import Random

from topo.frozen import frozen

Due = Callable[[float, int], tuple[float, bool]]
"""When a frame comes that would come at a time with nothing in its way, and whether it can be used. By number."""

Segment = tuple[float, float, float]
"""From, to, and the correction in between, arcsec."""


@frozen
class Sway:
    """A mount's motion: terms of amplitude (arcsec), angular rate (1/s) and phase, and a drift (arcsec/s)."""

    terms: tuple[tuple[float, float, float], ...]
    drift: float = 0.0

    def at(self, t: float) -> float:
        """Where it is at a time, arcsec."""
        place = self.drift * t
        for size, w, phase in self.terms:
            place += size * math.sin(w * t + phase)
        return place

    def rate(self, t: float) -> float:
        """How fast it moves, arcsec/s."""
        rate = self.drift
        for size, w, phase in self.terms:
            rate += size * w * math.cos(w * t + phase)
        return rate

    def area(self, low: float, high: float) -> float:
        """Integral of its place over time, arcsec s."""
        total = self.drift * (high * high - low * low) / 2.0
        for size, w, phase in self.terms:
            total += size / w * (math.cos(w * low + phase) - math.cos(w * high + phase))
        return total

    def square(self, low: float, high: float, correction: float) -> float:
        """Integral of its squared distance from a correction, arcsec^2 s: three Gauss points."""
        half, middle = (high - low) / 2.0, (low + high) / 2.0
        off = math.sqrt(0.6) * half
        a, b, c = (self.at(t) - correction for t in (middle - off, middle, middle + off))
        return half * (5.0 * a * a + 8.0 * b * b + 5.0 * c * c) / 9.0


@frozen
class Loop:
    """Settings of a guide loop: exposure and what a cycle takes besides, s; gain; star noise, arcsec; the rate of guide
    pulses that the next exposure waits for, arcsec/s (0: they take no time)."""

    exposure_s: float
    after_s: float
    gain: float
    noise: float = 0.0
    pulse: float = 0.0


def on_time(ready: float, number: int) -> tuple[float, bool]:
    """Every frame comes when it can."""
    return ready, True


def run(sway: Sway, loop: Loop, start: float, end: float, due: Due = on_time, settled: bool = False,
        dice: Random | None = None) -> list[Segment]:
    """The corrections from `start` until past `end`. `settled` starts with the lag of a loop that has run for long."""
    correction = sway.at(start)
    if settled:
        cycle = loop.exposure_s + loop.after_s
        correction -= sway.rate(start) * (cycle / loop.gain - loop.exposure_s / 2.0)
    segments: list[Segment] = []
    t = since = start
    number = 0
    while t < end:
        seen = sway.area(t, t + loop.exposure_s) / loop.exposure_s if loop.exposure_s else sway.at(t)
        error = seen - correction + (dice.gauss(0.0, loop.noise) if dice is not None else 0.0)
        come, used = due(t + loop.exposure_s + loop.after_s, number)
        segments.append((since, come, correction))
        t = since = come
        if used:
            correction += loop.gain * error
            if loop.pulse:
                t += abs(loop.gain * error) / loop.pulse
        number += 1
    return segments


@frozen
class Picture:
    """The error inside one open shutter: mean square about the lock position, variance about the picture's own mean
    (arcsec^2), and the largest distance from that mean (arcsec)."""

    square: float
    variance: float
    excursion: float


def picture(sway: Sway, segments: Sequence[Segment], opened: float, closed: float) -> Picture:
    """What the loop did while a shutter was open."""
    if len(sway.terms) == 1:
        area, square, ends = _one_swing(sway, segments, opened, closed)
    else:
        area, square, ends = _any_motion(sway, segments, opened, closed)
    span = closed - opened
    mean = area / span
    far = max(max(ends) - mean, mean - min(ends)) if ends else 0.0
    return Picture(square / span, max(0.0, square / span - mean * mean), far)


def _any_motion(
    sway: Sway, segments: Sequence[Segment], opened: float, closed: float
) -> tuple[float, float, list[float]]:
    """Integrals of the error and of its square while a shutter is open, and the error at the ends of its pieces."""
    area = square = 0.0
    ends = []
    for low, high, correction in segments:
        low, high = max(low, opened), min(high, closed)
        if high > low:
            area += sway.area(low, high) - correction * (high - low)
            square += sway.square(low, high, correction)
            ends += [sway.at(low) - correction, sway.at(high) - correction]
    return area, square, ends


def _one_swing(
    sway: Sway, segments: Sequence[Segment], opened: float, closed: float
) -> tuple[float, float, list[float]]:
    """As `_any_motion`, exactly, for a sinusoid A sin(wt + f) + Dt less a correction c:

    integral of the square = A^2/2 (t - sin cos / w) + (Dt - c)^3 / (3D) + 2A (D sin / w^2 - (Dt - c) cos / w).
    """
    (size, w, phase), drift = sway.terms[0], sway.drift
    area = square = 0.0
    ends: list[float] = []
    known, sine, cosine = math.nan, 0.0, 0.0
    for low, high, c in segments:
        low, high = max(low, opened), min(high, closed)
        span = high - low
        if span <= 0.0:
            continue
        if low != known:
            sine, cosine = math.sin(w * low + phase), math.cos(w * low + phase)
        before, turned = sine, cosine
        known, sine, cosine = high, math.sin(w * high + phase), math.cos(w * high + phase)
        a, b = drift * low - c, drift * high - c
        area += (a + b) / 2.0 * span + size / w * (turned - cosine)
        square += size * size / 2.0 * (span - (sine * cosine - before * turned) / w)
        square += (a * a + a * b + b * b) / 3.0 * span
        square += 2.0 * size * (drift * (sine - before) / w - (b * cosine - a * turned)) / w
        ends.append(size * before + a)
        ends.append(size * sine + b)
    return area, square, ends


def overall(sway: Sway, segments: Sequence[Segment], skip: float) -> float:
    """rms about the lock position over all time after `skip`, arcsec: what a guide graph shows without star noise."""
    square = span = 0.0
    for low, high, correction in segments:
        if low > skip:
            square += sway.square(low, high, correction)
            span += high - low
    return math.sqrt(square / span) if span else 0.0
