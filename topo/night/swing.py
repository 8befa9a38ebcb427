"""The guide loop on a mount that swings in one sinusoid and drifts, and what it did while a shutter was open.

The same as `loop.run` with `loop.picture`, exactly and in one pass, since here goes most of the time that a verdict on
a night takes: two cosines and a sine for each frame.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.night.loop import Picture, for_a_while, held_up, one_frame_each, pictured, settled_at

if TYPE_CHECKING:
    from topo.night.loop import HeldUp, Loop, Sway


def swung(
    sway: Sway, loop: Loop, start: float, opened: float, closed: float, late: Sequence[HeldUp] = ()
) -> Picture:
    """What a loop that has run for long did while a shutter was open, followed from `start`, with what came late.

    Integral of the square of A sin(wt + f) + Dt less a correction c:
    A^2/2 (t - sin cos / w) + (Dt - c)^3 / (3D) + 2A (D sin / w^2 - (Dt - c) cos / w).
    """
    (size, w, phase), drift = sway.terms[0], sway.drift
    sin, cos, exposure, after, gain = math.sin, math.cos, loop.exposure_s, loop.after_s, loop.gain
    over_w, half, twice = size / w, size * size / 2.0, 2.0 * size
    near, far = (exposure + after) / 2.0, 2.0 * (exposure + after)
    ahead, always = one_frame_each(late), for_a_while(late)
    area = square = 0.0
    ends: list[float] = []
    t, c = start, settled_at(sway, loop, start)
    sine, cosine = 0.0, cos(w * t + phase)
    while t < closed:
        end = t + exposure
        if exposure:
            error = (drift * (end * end - t * t) / 2.0 + over_w * (cosine - cos(w * end + phase))) / exposure - c
        else:
            error = drift * t + size * sin(w * t + phase) - c
        ready = come = end + after
        longest, used = 0.0, True
        if always or (ahead and ahead[-1][0] <= ready + near):  # no call for a frame that nothing is near
            longest, used = held_up(ahead, always, ready, near, far)
        if longest:
            come = min(ready + longest, max(ready, closed + 1.0))
        if come > opened:
            low, high = t, come if come < closed else closed
            if t <= opened:
                low, sine, cosine = opened, sin(w * opened + phase), cos(w * opened + phase)
            before, turned = sine, cosine
            sine, cosine = sin(w * high + phase), cos(w * high + phase)
            a, b, span = drift * low - c, drift * high - c, high - low
            area += (a + b) / 2.0 * span + over_w * (turned - cosine)
            square += half * (span - (sine * cosine - before * turned) / w)
            square += (a * a + a * b + b * b) / 3.0 * span
            square += twice * (drift * (sine - before) / w - (b * cosine - a * turned)) / w
            ends.append(size * before + a)
            ends.append(size * sine + b)
        else:
            cosine = cos(w * come + phase)
        t = come
        if used:
            c += gain * error
    return pictured(area, square, closed - opened, ends)
