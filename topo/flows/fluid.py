"""Bursts that start and finish while they share resources: the fluid model, from one event to the next.

Between two events (a burst starts, a burst is done) all rates are constant and max-min fair. Nothing of USB here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from topo.flows.allocate import Demand, Filling, allocate, rate_alone, wire
from topo.frozen import frozen

_TOGETHER = 1e-12
"""Bursts whose remaining times differ by less than this part of the step end with it: rounding, not order."""


@frozen
class Burst:
    """`bytes` that a flow has to move from `start_s` on, as fast as its demand and the others let it."""

    demand: Demand
    bytes: float
    start_s: float


def finish_times(
    bursts: Sequence[Burst], steady: Sequence[Demand], capacities: Mapping[str, float]
) -> Mapping[str, float]:
    """Seconds from start to end of each burst, by flow id, in their order; inf where a flow gets no rate.

    `steady` flows share all the time. Flows that no scarce resource joins don't see each other, so they are followed
    apart. Raises ValueError as `allocate` does, and on bytes or a start that are negative or not finite.
    """
    for burst in bursts:
        if not 0.0 <= burst.bytes < math.inf or not math.isfinite(burst.start_s):
            raise ValueError(
                f"burst {burst.demand.id!r} needs finite bytes of 0 or more and a finite start, "
                f"not {burst.bytes!r} bytes at {burst.start_s!r} s"
            )
    everyone = (*(burst.demand for burst in bursts), *steady)
    links, paths = wire(everyone, capacities)  # refuses what is wrong in any of them, before they are taken apart
    took: dict[str, float] = {}
    for group in _groups(everyone, links):
        members = [bursts[number] for number in group if number < len(bursts)]
        if len(group) == 1:
            demand = everyone[group[0]]
            rate = rate_alone(demand, paths[demand.id])
            took.update({burst.demand.id: _alone(burst, rate) for burst in members})
        elif members:
            beside = tuple(everyone[number] for number in group if number >= len(bursts))
            took.update(_Fluid(members, beside, capacities).run())
    return {burst.demand.id: took[burst.demand.id] for burst in bursts}


def _alone(burst: Burst, rate: float) -> float:
    """Seconds of a burst that nobody gets in the way of."""
    if not burst.bytes:
        return 0.0
    return burst.start_s + burst.bytes / rate - burst.start_s if rate > 0.0 else math.inf


def groups(demands: Sequence[Demand], capacities: Mapping[str, float]) -> Iterator[list[int]]:
    """The flows in groups that no resource joins which all of them at full rate could fill. Numbers of `demands`.

    Flows of different groups never see each other. Raises ValueError as `allocate` does.
    """
    yield from _groups(demands, wire(demands, capacities)[0])


def _groups(demands: Sequence[Demand], links: Mapping[str, Filling]) -> Iterator[list[int]]:
    """The flows in groups that no resource joins which all of them at full rate could fill. Numbers of `demands`."""
    parent = list(range(len(demands)))

    def root(number: int) -> int:
        while parent[number] != number:
            parent[number] = number = parent[parent[number]]
        return number

    numbers = {demand.id: number for number, demand in enumerate(demands)}
    for link in links.values():
        if link.asked > link.capacity:
            first = numbers[link.members[0][0].id]
            for demand, _ in link.members[1:]:
                one, other = root(numbers[demand.id]), root(first)
                parent[max(one, other)] = min(one, other)
    groups: dict[int, list[int]] = {}
    for number in range(len(demands)):
        groups.setdefault(root(number), []).append(number)
    yield from groups.values()


class _Fluid:
    """One group of bursts beside steady flows, from its first start to its last end."""

    def __init__(self, bursts: Sequence[Burst], steady: tuple[Demand, ...], capacities: Mapping[str, float]) -> None:
        self.waiting = sorted(bursts, key=lambda burst: burst.start_s)[::-1]
        self.steady = steady
        self.capacities = capacities
        self.left: dict[str, float] = {}
        self.running: dict[str, Burst] = {}
        self.took: dict[str, float] = {}
        self.known: dict[frozenset[str], Mapping[str, float]] = {}

    def run(self) -> dict[str, float]:
        """Seconds each burst takes, by flow id."""
        now = -math.inf
        while self.waiting or self.running:
            if not self.running:
                now = self.waiting[-1].start_s
            while self.waiting and self.waiting[-1].start_s <= now:
                self._start(self.waiting.pop())
            arrives = self.waiting[-1].start_s if self.waiting else math.inf
            now = self._advance(now, arrives)
            if now == math.inf:
                self.took.update(dict.fromkeys(self.running, math.inf))
                break
        return self.took

    def _start(self, burst: Burst) -> None:
        if burst.bytes > 0.0:
            self.running[burst.demand.id] = burst
            self.left[burst.demand.id] = burst.bytes
        else:
            self.took[burst.demand.id] = 0.0

    def _advance(self, now: float, arrives: float) -> float:
        """Moves all that runs to the next end or to the next start, whichever is first; returns that time."""
        rates = self._rates()
        needs = {name: self.left[name] / rates[name] if rates[name] > 0.0 else math.inf for name in self.running}
        step = min(needs.values(), default=math.inf)
        if now + step > arrives:
            for name in self.running:
                self.left[name] = max(0.0, self.left[name] - rates[name] * (arrives - now))
            return arrives
        if step == math.inf:
            return math.inf
        for name, need in needs.items():
            if need <= step * (1.0 + _TOGETHER):
                self.took[name] = now + step - self.running.pop(name).start_s
            else:
                self.left[name] -= rates[name] * step
        return now + step

    def _rates(self) -> Mapping[str, float]:
        """The rates of what runs now: computed once for each set of flows that ever run together."""
        key = frozenset(self.running)
        if key not in self.known:
            demands = (*(burst.demand for burst in self.running.values()), *self.steady)
            self.known[key] = allocate(demands, self.capacities).rates
        return self.known[key]
