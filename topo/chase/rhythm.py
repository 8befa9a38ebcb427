"""How often the trouble comes, as far as anybody knows: a handful of rates with their weights, never one rate.

Formulas: events in time with a Gamma prior on their rate (conjugate; the next gap is then Lomax), chances per download
with a Beta prior. Both are carried as sums over a few rates, so that healing, wrong answers and pairs of faults can be
had exactly for each rate. Times are minutes.
"""

from __future__ import annotations

import math
from functools import cached_property

from topo.frozen import frozen

RATES = 16
_STEADY = 60.0
"""Events a minute of trouble that is always there: a quiet minute then has no chance worth naming."""


@frozen(slots=False)
class Rhythm:
    """Rates (events a minute) with weights that sum to 1, the mean interval in minutes, and how it was said.

    `shape` and `scale` are a and b (minutes) of the Gamma prior; for chances per download they are None and
    `download_min` says how long one download takes to come round.
    """

    interval: float
    rates: tuple[float, ...]
    weights: tuple[float, ...]
    said: str
    shape: float | None = None
    scale: float | None = None
    download_min: float | None = None

    @property
    def steady(self) -> bool:
        """True for trouble that is always there."""
        return len(self.rates) == 1

    @cached_property
    def waits(self) -> tuple[float, ...]:
        """Minutes worth waiting in one go."""
        if self.steady:
            return (1.0,)
        least = self.download_min or 0.0
        waits = (max(least, share * self.interval) for share in (0.75, 1.5, 3.0))
        return tuple(dict.fromkeys(waits))

    def quiet(self, minutes: float) -> float:
        """The chance that trouble which is there keeps silent for so long: (b / (b + t))^a, or the sum over rates."""
        if self.shape is not None and self.scale is not None:
            return float((self.scale / (self.scale + minutes)) ** self.shape)
        return math.fsum(w * math.exp(-r * minutes) for r, w in zip(self.rates, self.weights, strict=True))

    def wait(self, left: float = 0.05) -> float:
        """Minutes of silence after which trouble that is there would have kept silent with the chance `left`."""
        if self.steady:
            return 1.0
        if self.shape is not None and self.scale is not None:
            return float(self.scale * (left ** (-1.0 / self.shape) - 1.0))
        low, high = 0.0, self.interval
        while self.quiet(high) > left:
            low, high = high, high * 2
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if self.quiet(middle) > left else (low, middle)
        return high


def every(minutes: float, seen: int = 3, said: str = "") -> Rhythm:
    """Trouble seen so many times, on average every so many minutes: a = n + 1, b = (n + 1) minutes.

    The rate stays n a span: 4.5 mean intervals must be silent for 95 of 100 after three events, 6.9 after one, and 3.0
    only for a rate known for certain.
    """
    a = seen + 1.0
    rates, weights = _gamma_grid(a, a * minutes)
    return Rhythm(minutes, rates, weights, said, a, a * minutes)


def always(said: str = "") -> Rhythm:
    """Trouble that is there whenever one looks."""
    return Rhythm(1.0, (_STEADY,), (1.0,), said)


def downloads(seen: int, of: int, download_min: float, said: str = "") -> Rhythm:
    """Trouble at so many of so many downloads, one every so many minutes: Beta(1 + k, 1 + n − k) on the chance.

    `m` silent downloads in a row have the chance Π (b + i) / (a + b + i).
    """
    a, b = 1.0 + seen, 1.0 + of - seen
    middle = a / (a + b)
    low, high = _logit(middle) - 5.0, _logit(middle) + 5.0
    chances = [1.0 / (1.0 + math.exp(-(low + (high - low) * i / (RATES - 1)))) for i in range(RATES)]
    logs = [a * math.log(p) + b * math.log1p(-p) for p in chances]  # dp = p (1 − p) d(logit)
    weights = _normalised(logs)
    rates = tuple(-math.log1p(-p) / download_min for p in chances)
    return Rhythm(download_min / middle, rates, weights, said, download_min=download_min)


def _gamma_grid(a: float, b: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Rates even in ln r from a twentieth of the mean (less where few events were seen) to 4 times it: r^a e^−br."""
    least = 20.0 if a >= 4 else 80.0
    step = math.log(least * 4.0) / (RATES - 1)
    logs = [math.log(a / b / least) + i * step for i in range(RATES)]
    weights = _normalised([a * x - b * math.exp(x) for x in logs])
    return tuple(math.exp(x) for x in logs), weights


def _normalised(logs: list[float]) -> tuple[float, ...]:
    top = max(logs)
    parts = [math.exp(x - top) for x in logs]
    total = math.fsum(parts)
    return tuple(part / total for part in parts)


def _logit(p: float) -> float:
    return math.log(p / (1.0 - p))
