"""Flows while a night runs: what is left of a burst, what has piled up in a buffer, and who gets how much meanwhile.

Two ways of sharing: all fairly, or some flows last, from what the others leave. Rates are remembered for each set of
flows that ever run together; a flow whose buffer has to be emptied takes more, so that is part of the key.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from topo.flows.allocate import Demand, allocate
from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.night import Discipline
    from topo.model.traffic import Use

ENOUGH = 1.0 - 1e-9
"""Below this part of what it asks a flow gets less than it asks: rounding is no shortage."""

LEFTOVER = 1e-9
"""Below this part of a link nothing is left of it."""

ROUNDING = 1e-9
"""A buffer that is passed by less than this part of it is full, not over."""

Asked: TypeAlias = "tuple[tuple[float, float, tuple[Use, ...]], ...]"
"""What flows ask for: the cap, weight and uses of each."""

MOST_REMEMBERED = 4096
"""Sets of flows whose rates are remembered."""


@frozen
class Moving:
    """A flow as the night needs it.

    `cap` bytes/s its source reads out; `buffer_bytes` how far it may fall behind before it loses data (inf: it waits
    for ever); `steady` for one that asks all the time; `last` for one that others are served before, where that is so.
    """

    name: str
    cap: float
    weight: float
    uses: tuple[Use, ...]
    buffer_bytes: float = math.inf
    steady: bool = False
    last: bool = False


class Channel:
    """A flow's state. `left` bytes of its burst (inf for a steady flow), `backlog` bytes in its buffer."""

    __slots__ = ("ahead", "backlog", "behind", "done", "first_lost", "flow", "index", "left", "lost", "rate",
                 "running", "sent", "shift", "short_s", "since", "slowest", "unread")

    def __init__(self, index: int, flow: Moving) -> None:
        self.index = index
        self.flow = flow
        self.running = False
        self.behind = False
        self.rate = 0.0
        self.since = 0.0
        self.shift = 0
        self.left = 0.0
        self.unread = 0.0
        self.backlog = 0.0
        self.lost = 0.0
        self.first_lost = math.inf
        self.sent = 0.0
        self.short_s = 0.0
        self.slowest = math.inf
        self.ahead = math.inf
        self.done: Callable[[float, float], None] | None = None

    def bring_to(self, now: float) -> None:
        """Moves on to `now` from where it was brought last, at the present rate."""
        span = now - self.since
        self.since = now
        if span > 0.0:
            self.pass_time(span, now)

    def start(self, size: float, done: Callable[[float, float], None] | None) -> None:
        """A burst of `size` bytes, or inf for a steady flow; `done(now, first_lost)` is called at its end."""
        self.running, self.left, self.unread, self.done = True, size, size, done
        self.backlog, self.lost, self.first_lost, self.behind = 0.0, 0.0, math.inf, False

    def arrive(self, now: float) -> None:
        """A burst that had its links for itself is through."""
        if self.behind:
            self.bring_to(now)
        self.running = False
        if self.done is not None:
            self.done(now, self.first_lost)

    def pass_time(self, span: float, now: float) -> None:
        """Moves on by `span` seconds, up to `now`, at the present rate."""
        moved = self.rate * span
        self.left -= moved
        if self.flow.steady:
            self.sent += moved
            self.slowest = min(self.slowest, self.rate)
            if self.rate < self.flow.cap * ENOUGH:
                self.short_s += span
        if self.behind:
            self._fill(span, now)
        else:
            self.unread -= moved

    def _fill(self, span: float, now: float) -> None:
        """The buffer while the source runs ahead of the link, or the link empties it."""
        reading = min(span, self.unread / self.flow.cap)
        gain = self.flow.cap - self.rate
        self.unread -= self.flow.cap * reading
        self.backlog += gain * reading
        excess = self.backlog - self.flow.buffer_bytes
        if excess > self.flow.buffer_bytes * ROUNDING + 1e-6:
            self.backlog = self.flow.buffer_bytes
            self.left -= excess
            self.lost += excess
            if self.first_lost == math.inf:
                self.first_lost = now - span + reading - excess / gain
        self.backlog = max(0.0, self.backlog - self.rate * (span - reading))

    def until_through(self) -> float:
        """Seconds until its burst is through at the present rate: what overflows meanwhile is not sent."""
        if self.rate <= 0.0:
            return math.inf
        if not self.behind or self.left == math.inf:
            return self.left / self.rate
        reading = self.unread / self.flow.cap
        piled = self.backlog + (self.flow.cap - self.rate) * reading
        return reading + min(piled, self.flow.buffer_bytes) / self.rate

    def alone_s(self, size: float, rate: float, behind: bool) -> float:
        """Seconds of a whole burst at one rate."""
        if not behind:
            return size / rate
        reading = size / self.flow.cap
        return reading + min((self.flow.cap - rate) * reading, self.flow.buffer_bytes) / rate

    def until_even(self) -> float:
        """Seconds until its buffer is empty again at the present rate; inf where it is not emptied."""
        reads = self.flow.cap if self.unread > 0.0 else 0.0
        return self.backlog / (self.rate - reads) if self.rate > reads and self.backlog > 0.0 else math.inf


class Carried(NamedTuple):
    """What a set of flows gets: its key with all that fall behind marked, the rate of each flow (0 where it does not
    run), the load of each link, and the rates of steady flows alone."""

    key: int
    rates: tuple[float, ...]
    loads: dict[str, float]
    steady: tuple[float, ...]


class Shares:
    """The rates of the flows of one group, for each set that runs and each that is behind. Computed once for each."""

    def __init__(self, flows: Sequence[Moving], capacities: Mapping[str, float], discipline: Discipline) -> None:
        self.flows = flows
        self.capacities = capacities
        self.sorts = discipline == "last" and any(flow.last for flow in flows)
        self.known: dict[int, Carried] = {}

    def of(self, key: int) -> Carried:
        """What the flows of a key get.

        In the key, bit 2i says that flow i runs, bit 2i + 1 that its buffer is not empty.
        """
        found = self.known.get(key)
        if found is None:
            found = self.known[key] = self._settle(key)
        return found

    def _settle(self, key: int) -> Carried:
        while True:
            rates, loads = self._allocate(key)
            marked = key
            for index, flow in enumerate(self.flows):
                if key >> 2 * index & 3 == 1 and math.isfinite(flow.buffer_bytes) and rates[index] < flow.cap * ENOUGH:
                    marked |= 2 << 2 * index
            if marked == key:
                steady = tuple(rate for rate, flow in zip(rates, self.flows, strict=True) if flow.steady)
                return Carried(key, rates, loads, steady)
            key = marked

    def _allocate(self, key: int) -> tuple[tuple[float, ...], dict[str, float]]:
        rates = [0.0] * len(self.flows)
        first: list[int] = []
        last: list[int] = []
        for index, flow in enumerate(self.flows):
            if key >> 2 * index & 1:
                (last if self.sorts and flow.last else first).append(index)
        loads = self._share(first, key, self.capacities, rates)
        if last:
            spare = {name: _spare(size, loads[name]) for name, size in self.capacities.items()}
            after = self._share(last, key, spare, rates)
            loads = {name: loads[name] + after[name] for name in loads}
        return tuple(rates), loads

    def _share(
        self, places: Sequence[int], key: int, capacities: Mapping[str, float], rates: list[float]
    ) -> dict[str, float]:
        """What some of the flows get, put into `rates`; returns the load of each link."""
        asked = tuple(
            (math.inf if key >> 2 * index & 2 else flow.cap, flow.weight, flow.uses)
            for index, flow in zip(places, map(self.flows.__getitem__, places), strict=True)
        )
        found, loads = _shared_out(asked, tuple(capacities.items()))
        for index, rate in zip(places, found, strict=True):
            rates[index] = rate
        return dict(zip(capacities, loads, strict=True))


@lru_cache(maxsize=MOST_REMEMBERED)
def _shared_out(
    asked: Asked, capacities: tuple[tuple[str, float], ...]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """The rates of flows by what they ask for (cap, weight, uses), and the loads of links, both in their order. Whose
    flows they are does not matter: one night, and the rigs that planning tries, ask the same many times."""
    demands = [Demand(str(number), *each) for number, each in enumerate(asked)]
    found = allocate(demands, dict(capacities))
    return tuple(found.rates.values()), tuple(found.load.values())


def _spare(capacity: float, load: float) -> float:
    left = capacity - load
    return left if left > capacity * LEFTOVER else 0.0
