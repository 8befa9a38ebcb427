"""A picture as `swing.swung` follows it, but in strides: frames that take equally long are summed at once. So its
largest excursion, which takes each frame by itself, stays unknown.

In a stride of equal cycles T the correction c keeps a steady distance from the mount A sin(wt + f) + Dt. With
u = e^(i(wt + f)) at the start of a frame it is Dt + d + Im(C u), and what it begins with besides fades by 1 - gain from
frame to frame. From c' = c + gain (seen - c), where an exposure E sees D(t + E/2) + A sinc(wE/2) Im(u e^(iwE/2)):
d = D(E/2 - T/gain) and C (e^(iwT) - 1 + gain) = gain A sinc(wE/2) e^(iwE/2). The error and its square over all frames
are then sums of geometric series in e^(iwT) and in 1 - gain, in their squares, and in the product of both.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from topo.night.forms import sinc
from topo.night.loop import Picture, for_a_while, held_up, one_frame_each, settled_at

if TYPE_CHECKING:
    from topo.night.loop import HeldUp, Loop, Sway

LEAST_TURN = 1e-3
"""How far e^(iwT), and its square, must be from 1: nearer, sums of such terms lose too many digits."""

FEWEST_SUMMED = 3
"""Frames that are followed one by one sooner than summed."""

MOST_PACES = 1024
"""Paces that are remembered."""

Stride = tuple[float, float, int, bool]
"""Frames that take equally long: when the first starts, how long each takes, how many, and whether they are used."""


def strides(loop: Loop, start: float, closed: float, late: Sequence[HeldUp]) -> list[Stride]:
    """The frames from `start` until a shutter closes, with what came late; a frame that is not ready by then is left as
    it is, since it changes nothing."""
    exposure, after = loop.exposure_s, loop.after_s
    cycle = exposure + after
    near, far = cycle / 2.0, 2.0 * cycle
    ahead, always = one_frame_each(late), for_a_while(late)
    found: list[Stride] = []
    t = first = start
    count, held, counts = 0, 0.0, True
    while t < closed:
        if not always and not held and counts:  # on to the first frame that something is near
            soonest = min(ahead[-1][0] - near, closed) if ahead else closed
            while (come := t + exposure + after) < soonest:
                count += 1
                t = come
        come = t + exposure + after
        longest, used = 0.0, True
        if (always or (ahead and ahead[-1][0] <= come + near)) and come < closed:
            longest, used = held_up(ahead, always, come, near, far)
        if longest != held or used is not counts:
            if count:
                found.append((first, cycle + held, count, counts))
            first, count, held, counts = t, 0, longest, used
        count += 1
        t = come + longest
    if count:
        found.append((first, cycle + held, count, counts))
    return found


def strode(
    sway: Sway, loop: Loop, start: float, opened: float, closed: float, late: Sequence[HeldUp] = ()
) -> Picture:
    """What a loop that has run for long did while a shutter was open, followed from `start`, with what came late."""
    shutter = _Shutter(sway, loop, settled_at(sway, loop, start), opened, closed)
    for stride in strides(loop, start, closed, late):
        shutter.follow(*stride)
    square, mean = shutter.square / (closed - opened), shutter.area / (closed - opened)
    return Picture(square, max(0.0, square - mean * mean), None)


class _Shutter:
    """A picture: the correction, and the integrals of the error and of its square while the shutter is open."""

    def __init__(self, sway: Sway, loop: Loop, c: float, opened: float, closed: float) -> None:
        (self.size, self.w, self.phase), self.drift = sway.terms[0], sway.drift
        self.middle, self.gain = loop.exposure_s / 2.0, loop.gain
        self.seen = self.size * sinc(self.w * self.middle)
        self.opened, self.closed, self.c = opened, closed, c
        self.area = self.square = 0.0

    def follow(self, t: float, cycle: float, count: int, used: bool) -> None:
        """Follows one stride."""
        if not used:
            self._open(max(t, self.opened), min(t + count * cycle, self.closed))
            return
        pace = _pace(self.size, self.w, self.drift, self.middle, self.gain, cycle) if count >= FEWEST_SUMMED else None
        while count:
            if t + cycle <= self.opened:
                whole = min(count, int((self.opened - t) / cycle))
            elif t < self.opened:
                whole = 1
            else:
                whole = min(count, int((self.closed - t) / cycle))
            if whole >= FEWEST_SUMMED and pace is not None:
                self._sum(pace, t, whole, t >= self.opened)
            else:
                whole = 1
                self._open(max(t, self.opened), min(t + cycle, self.closed))
                at = t + self.middle
                self.c += self.gain * (self.drift * at + self.seen * math.sin(self.w * at + self.phase) - self.c)
            t += whole * cycle
            count -= whole

    def _open(self, low: float, high: float) -> None:
        """What one correction adds from one time to another with the shutter open, as in `swing.swung`."""
        if high <= low:
            return
        w, drift, span = self.w, self.drift, high - low
        before, turned = math.sin(w * low + self.phase), math.cos(w * low + self.phase)
        sine, cosine = math.sin(w * high + self.phase), math.cos(w * high + self.phase)
        a, b = drift * low - self.c, drift * high - self.c
        self.area += (a + b) / 2.0 * span + self.size / w * (turned - cosine)
        self.square += (a * a + a * b + b * b) / 3.0 * span
        self.square += self.size * self.size / 2.0 * (span - (sine * cosine - before * turned) / w)
        self.square += 2.0 * self.size * (drift * (sine - before) / w - (b * cosine - a * turned)) / w

    def _sum(self, pace: _Pace, t: float, count: int, is_open: bool) -> None:
        """The same for a number of frames, each with its correction, that are all open or all shut."""
        w, drift, d, q = self.w, self.drift, pace.d, pace.q
        end = t + count * pace.cycle
        u = complex(math.cos(w * t + self.phase), math.sin(w * t + self.phase))
        v = complex(math.cos(w * end + self.phase), math.sin(w * end + self.phase))
        k, left = self.c - drift * t - d - (pace.lag * u).imag, q**count
        self.c = drift * end + d + (pace.lag * v).imag + k * left
        if not is_open:
            return
        # Sums over the frames: of u, of its square, of q^n, of its square, and of q^n u.
        turns, squares = (u - v) * pace.of_turns, (u * u - v * v) * pace.of_squares
        fades, fading = (1.0 - left) * pace.of_fades, (u - left * v) * pace.of_fading
        swings = (pace.lag * turns).imag
        first = -(count * d + swings + k * fades)
        second = count * d * d + 2.0 * d * (swings + k * fades) + 2.0 * k * (pace.lag * fading).imag
        second += (count * pace.lag_square - (pace.lag * pace.lag * squares).real) / 2.0
        second += k * k * (1.0 - left * left) * pace.of_faded
        h, span = drift * pace.cycle, count * pace.cycle
        self.area += pace.cycle * first + h * span / 2.0 + self.size / w * (u.real - v.real)
        self.square += pace.cycle * (second + h * first) + h * h * span / 3.0
        self.square += self.size * self.size / 2.0 * (span - (v.imag * v.real - u.imag * u.real) / w)
        crossed = h * (turns * pace.turn).real - d * (v.real - u.real) - k * (pace.moved * fading).real
        crossed -= ((pace.lag * pace.moved * squares).imag + count * pace.crossed) / 2.0
        self.square += 2.0 * self.size * (drift * (v.imag - u.imag) / w - crossed) / w


class _Pace:
    """What strides of one cycle have in common."""

    def __init__(self, size: float, w: float, drift: float, middle: float, gain: float, cycle: float) -> None:
        turn, q = cmath.exp(1j * w * cycle), 1.0 - gain
        self.cycle, self.turn, self.q = cycle, turn, q
        self.d = drift * (middle - cycle / gain)
        self.lag = gain * size * sinc(w * middle) * cmath.exp(1j * w * middle) / (turn - q)
        self.lag_square = abs(self.lag) ** 2
        self.moved = turn - 1.0
        self.crossed = (self.lag * self.moved.conjugate()).imag
        self.of_turns, self.of_squares = 1.0 / (1.0 - turn), 1.0 / (1.0 - turn * turn)
        self.of_fades, self.of_faded, self.of_fading = 1.0 / gain, 1.0 / (1.0 - q * q), 1.0 / (1.0 - q * turn)


@lru_cache(maxsize=MOST_PACES)
def _pace(size: float, w: float, drift: float, middle: float, gain: float, cycle: float) -> _Pace | None:
    """What strides of a cycle have in common; None where their sums would be inexact."""
    turn = cmath.exp(1j * w * cycle)
    if min(abs(1.0 - turn), abs(1.0 - turn * turn), gain, 2.0 - gain) < LEAST_TURN:
        return None
    return _Pace(size, w, drift, middle, gain, cycle)
