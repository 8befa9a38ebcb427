"""The variance of a picture that `swing.swung` follows frame by frame, in strides: frames that take equally long are
summed at once. What makes them late comes in even beats, as it does at the worst phases.

In a stride of equal cycles T the correction c keeps a steady distance from the mount A sin(wt + f) + Dt. With
u = e^(i(wt + f)) at the start of a frame it is Dt + d + Im(C u), and what it begins with besides fades by 1 - gain from
frame to frame. From c' = c + gain (seen - c), where an exposure E sees D(t + E/2) + A sinc(wE/2) Im(u e^(iwE/2)):
d = D(E/2 - T/gain) and C (e^(iwT) - 1 + gain) = gain A sinc(wE/2) e^(iwE/2). The error and its square over all frames
are then sums of geometric series in e^(iwT) and in 1 - gain, in their squares, and in the product of both.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING

from topo.night.forms import sinc
from topo.night.loop import settled_at

if TYPE_CHECKING:
    from topo.night.loop import Loop, Sway

LEAST_TURN = 1e-3
"""How far e^(iwT), and its square, must be from 1: nearer, sums of such terms lose too many digits."""

FEWEST_SUMMED = 3
"""Frames that are followed one by one sooner than summed."""

MOST_PACES = 1024
"""Paces that are remembered."""

Recurring = tuple[float, float, float]
"""What makes one guide frame late, again and again: when first, how often, and by how much, s."""

Stride = tuple[float, float, int]
"""Frames that take equally long: when the first starts, how long each takes, and how many."""


def strides(
    loop: Loop, start: float, closed: float, always_s: float = 0.0, beats: Iterable[Recurring] = ()
) -> list[Stride]:
    """The frames from `start` until a shutter closes, all late by `always_s` at least; by more where a beat makes the
    frame late that is due nearest to it, as in `loop.held_up`. One that is not ready by then is on time: it changes
    nothing."""
    cycle = loop.exposure_s + loop.after_s
    near, far = cycle / 2.0, 2.0 * cycle
    coming = [[at, every, by] for at, every, by in beats if by > always_s and at < closed]
    found: list[Stride] = []
    t = start
    while (ready := t + cycle) < closed:
        held, until = always_s, closed
        for beat in coming:
            at, every, by = beat
            if at <= ready + near:
                last = at + int((min(ready + near, closed) - at) / every) * every
                if by > held and ready - far < last < closed:
                    held = by  # where it comes as often as frames do, the next are late by it too
                    until = closed - near if every <= cycle + by < near + far else ready
                beat[0] = last + every
        pace = cycle + held
        more = int((until - ready) / pace)
        for at, _, by in coming:
            if by > held and at < closed:
                more = min(more, math.ceil((at - near - ready) / pace) - 1)
        if more > 0:
            reach = ready + more * pace + near
            for beat in coming:
                if beat[0] <= reach:
                    beat[0] += (int((reach - beat[0]) / beat[1]) + 1) * beat[1]
        found.append((t, pace, 1 + max(0, more)))
        t += found[-1][2] * pace
    if t < closed:
        found.append((t, cycle, 1))
    return found


def variance(
    sway: Sway, loop: Loop, start: float, opened: float, closed: float, always_s: float = 0.0,
    beats: Iterable[Recurring] = (),
) -> float:
    """The variance of the error about a picture's own mean, arcsec^2, of a loop that has run for long and is followed
    from `start`."""
    shutter = _Shutter(sway, loop, settled_at(sway, loop, start), opened, closed)
    for stride in strides(loop, start, closed, always_s, beats):
        shutter.follow(*stride)
    mean = shutter.area / (closed - opened)
    return max(0.0, shutter.square / (closed - opened) - mean * mean)


class _Shutter:
    """A picture: the correction, and the integrals of the error and of its square while the shutter is open."""

    def __init__(self, sway: Sway, loop: Loop, c: float, opened: float, closed: float) -> None:
        (self.size, self.w, self.phase), self.drift = sway.terms[0], sway.drift
        self.middle, self.gain = loop.exposure_s / 2.0, loop.gain
        self.seen = self.size * sinc(self.w * self.middle)
        self.opened, self.closed, self.c = opened, closed, c
        self.area = self.square = 0.0

    def follow(self, t: float, cycle: float, count: int) -> None:
        """Follows one stride."""
        pace = _pace(self.size, self.w, self.drift, self.middle, self.gain, cycle) if count >= FEWEST_SUMMED else None
        while count:
            if t < self.opened:
                whole = min(count, int((self.opened - t) / cycle)) or 1
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
