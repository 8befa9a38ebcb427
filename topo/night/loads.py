"""How full each link is through one night, in equal steps of time: the mean and the peak of each step."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.night import Night
    from topo.night.run import Cast


@frozen
class LinkLoad:
    """One link: shares of what it can carry, for each step of `from_s` to `until_s`."""

    link: str
    mean: tuple[float, ...]
    peak: tuple[float, ...]


def loads_of(night: Night, cast: Cast, from_s: float, until_s: float, steps: int) -> tuple[LinkLoad, ...]:
    """The load of every link of a night that was traced, in the order of the links."""
    found = []
    for link, capacity in cast.capacities.items():
        mean, peak = [0.0] * steps, [0.0] * steps
        if capacity > 0.0:
            for low, high, load in _stretches(night, link, from_s, until_s):
                _add(mean, peak, (low - from_s, high - from_s), load / capacity, (until_s - from_s) / steps)
        found.append(LinkLoad(link, tuple(mean), tuple(peak)))
    return tuple(found)


def _stretches(night: Night, link: str, from_s: float, until_s: float) -> Iterator[tuple[float, float, float]]:
    """Stretches of the same load above 0 within a span."""
    since, load = from_s, 0.0
    for at, told in night.loads:
        for name, now in told:
            if name == link:
                low, high = max(since, from_s), min(at, until_s)
                if high > low and load > 0.0:
                    yield low, high, load
                since, load = at, now
    if load > 0.0 and until_s > max(since, from_s):
        yield max(since, from_s), until_s, load


def _add(mean: list[float], peak: list[float], span: tuple[float, float], load: float, step: float) -> None:
    low, high = span
    first, last = min(len(mean) - 1, int(low / step)), min(len(mean) - 1, int(high / step))
    for number in range(first, last + 1):
        inside = min(high, (number + 1) * step) - max(low, number * step)
        if inside > 0.0:
            mean[number] += load * inside / step
            peak[number] = max(peak[number], load)
