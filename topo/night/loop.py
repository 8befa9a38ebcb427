"""A guide loop on a moving mount, frame by frame: the error while a shutter is open, and how lateness changes it.

The mount is a sinusoid with its harmonics and a drift; between corrections its motion is integrated exactly, so that
small differences are not lost in steps. Star noise is drawn only where it is asked for: what lateness adds is taken
from runs without noise, with the same mount and the same pictures.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from operator import itemgetter
from random import Random
from typing import TYPE_CHECKING

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.night import Late

Due = Callable[[float, int], tuple[float, bool]]
"""When a frame comes that would come at a time with nothing in its way, and whether it can be used. By number."""

HeldUp = tuple[float, float, float, bool]
"""What makes guide frames late: from when, until when (no later: one frame), by how much, s; and whether it is lost."""

_at = itemgetter(0)

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


def met_by(late: Iterable[Late]) -> list[HeldUp]:
    """What came late, as a loop is asked to run round it."""
    return [(each.at_s, each.until_s, each.by_s, each.lost) for each in late]


def due_of(late: Sequence[HeldUp], cycle: float, closed: float) -> Due:
    """When frames come that met what is listed: a late one is the frame due nearest to it, stretches hold for all."""
    ahead, always = one_frame_each(late), for_a_while(late)
    near, far = cycle / 2.0, 2.0 * cycle

    def due(ready: float, number: int) -> tuple[float, bool]:
        longest, used = held_up(ahead, always, ready, near, far)
        return (min(ready + longest, max(ready, closed + 1.0)) if longest else ready), used

    return due


def held_up(
    ahead: list[HeldUp], always: Sequence[HeldUp], ready: float, near: float, far: float
) -> tuple[float, bool]:
    """How much later a frame comes that would be ready then, s, and whether it comes at all. What is `ahead` counts for
    the frame due within `near` of it, and is taken off the list; nothing counts that is more than `far` past."""
    longest, used = 0.0, True
    while ahead and ahead[-1][0] <= ready + near:
        at, _, by, lost = ahead.pop()
        if at > ready - far:
            longest, used = by if by > longest else longest, used and not lost
    for at, until, by, lost in always:
        if at - near <= ready <= until:
            longest, used = by if by > longest else longest, used and not lost
    return longest, used


def one_frame_each(late: Sequence[HeldUp]) -> list[HeldUp]:
    """What makes one frame late, the last first."""
    return sorted((event for event in late if event[1] <= event[0]), key=_at, reverse=True)


def for_a_while(late: Sequence[HeldUp]) -> list[HeldUp]:
    """What makes all frames of a stretch late."""
    return [event for event in late if event[1] > event[0]]


def run(sway: Sway, loop: Loop, start: float, end: float, due: Due = on_time, settled: bool = False,
        dice: Random | None = None) -> list[Segment]:
    """The corrections from `start` until past `end`. `settled` starts with the lag of a loop that has run for long."""
    correction = settled_at(sway, loop, start) if settled else sway.at(start)
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


def settled_at(sway: Sway, loop: Loop, start: float) -> float:
    """The correction at a time of a loop that has run for long, which lags behind."""
    cycle = loop.exposure_s + loop.after_s
    return sway.at(start) - sway.rate(start) * (cycle / loop.gain - loop.exposure_s / 2.0)


@frozen
class Picture:
    """The error inside one open shutter: mean square about the lock position, variance about the picture's own mean
    (arcsec^2), and the largest distance from that mean (arcsec)."""

    square: float
    variance: float
    excursion: float


def picture(sway: Sway, segments: Sequence[Segment], opened: float, closed: float) -> Picture:
    """What the loop did while a shutter was open."""
    area = square = 0.0
    ends = []
    for low, high, correction in segments:
        low, high = max(low, opened), min(high, closed)
        if high > low:
            area += sway.area(low, high) - correction * (high - low)
            square += sway.square(low, high, correction)
            ends += [sway.at(low) - correction, sway.at(high) - correction]
    return pictured(area, square, closed - opened, ends)


def pictured(area: float, square: float, span: float, ends: Sequence[float]) -> Picture:
    """A picture from the integrals of its error and of the square of it, and the errors at the ends of its pieces."""
    mean = area / span
    far = max(max(ends) - mean, mean - min(ends)) if ends else 0.0
    return Picture(square / span, max(0.0, square / span - mean * mean), far)
