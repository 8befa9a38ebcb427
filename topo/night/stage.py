"""The clockwork: one heap of events, and a clock for each group of flows that a scarce resource joins.

A burst ends by its scheduled event, never because its bytes look used up: rounding could leave a last byte that takes
no time, for ever. An event of a group counts only if nothing changed in the group since it was scheduled.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache
from heapq import heappop, heappush

from topo.flows.allocate import Demand, groups
from topo.model.night import Discipline
from topo.night.channels import MOST_REMEMBERED, Asked, Carried, Channel, Moving, Shares

Call = Callable[[float], None]


class Group:
    """Channels that share a scarce resource, with what runs now. `version` counts changes.

    Steady flows are brought on only when their rate changes: most of them never notice what bursts do.
    """

    def __init__(self, channels: Sequence[Channel], shares: Shares) -> None:
        self.channels = tuple(channels)
        self.shares = shares
        self.now = 0.0
        self.version = 0
        self.key = 0
        self.bursts: list[Channel] = []
        self.steady: list[Channel] = []
        self.behind: list[Channel] = []
        self.others: dict[int, tuple[tuple[Channel, ...], tuple[Channel, ...]]] = {}
        self.by_itself: dict[int, tuple[float, bool]] = {}
        self.steady_key = 0
        self.steady_mask = 0
        self.steady_rates: tuple[float, ...] = ()
        self.next: Channel | None = None
        self.ends = True
        self.traced: list[tuple[float, int]] | None = None
        for place, channel in enumerate(self.channels):
            channel.shift = 2 * place

    def bring_to(self, now: float) -> None:
        """Moves all bursts, and steady flows that are behind, on to `now`."""
        if now > self.now:
            for channel in self.bursts:
                channel.bring_to(now)
            for channel in self.behind:
                channel.bring_to(now)
        self.now = now

    def begin(self, channel: Channel) -> None:
        """A channel runs from now on."""
        channel.since = self.now
        (self.steady if channel.flow.steady else self.bursts).append(channel)
        if channel.flow.steady:
            self.steady_again()

    def end(self, channel: Channel) -> None:
        """A channel no longer runs."""
        channel.running = False
        if channel.flow.steady:
            channel.bring_to(self.now)
            self.steady.remove(channel)
            self.steady_again()
        else:
            self.bursts.remove(channel)

    def finish(self, now: float) -> None:
        """Brings everything on to the end of the night."""
        self.bring_to(now)
        for channel in self.steady:
            channel.bring_to(now)

    def steady_again(self) -> None:
        """What is steady has changed: its rates have to be set anew."""
        self.steady_mask = 0
        for channel in self.steady:
            self.steady_mask |= 3 << channel.shift
        self.steady_rates = ()
        self.steady_key = self._key_of(self.steady)
        self.by_itself.clear()

    def _key_of(self, channels: Sequence[Channel]) -> int:
        key = 0
        for channel in channels:
            key |= (3 if channel.behind else 1) << channel.shift
        return key

    def settle(self) -> float:
        """Rates for what runs now; returns when the next thing happens by itself, inf for never."""
        found = self.shares.of(self.steady_key | self._key_of(self.bursts))
        self.key, rates = found.key, found.rates
        if self.traced is not None:
            self.traced.append((self.now, self.key))
        if found.steady != self.steady_rates or self.key & self.steady_mask != self.steady_key:
            self._settle_steady(found)
        soonest, self.next = math.inf, None
        for channel in self.bursts:
            shift = channel.shift
            channel.rate = rates[shift >> 1]
            channel.behind = bool(self.key >> shift & 2)
            needs = channel.until_through()
            if needs < soonest:
                soonest, self.next, self.ends = needs, channel, True
            if channel.behind and (even := channel.until_even()) < soonest:
                soonest, self.next, self.ends = even, channel, False
        for channel in self.behind:
            if (even := channel.until_even()) < soonest:
                soonest, self.next, self.ends = even, channel, False
        self.version += 1
        return self.now + max(0.0, soonest)

    def _settle_steady(self, found: Carried) -> None:
        """New rates of steady flows, each brought on to now at its old one."""
        for channel in self.steady:
            channel.bring_to(self.now)
            channel.rate = found.rates[channel.shift >> 1]
            channel.behind = bool(self.key >> channel.shift & 2)
        self.behind = [channel for channel in self.steady if channel.behind]
        self.steady_key = self.key & self.steady_mask
        self.steady_rates = found.steady
        self.by_itself.clear()

    def others_ahead(self, channel: Channel) -> float:
        """The earliest time at which any other channel of the group may start or end something."""
        bursts, steady = self.others.get(channel.shift) or self._others(channel)
        soonest = math.inf
        for other in bursts:
            if other.running:
                return -math.inf
            if other.ahead < soonest:
                soonest = other.ahead
        for other in steady:
            if other.ahead < soonest:
                soonest = other.ahead
        return soonest

    def _others(self, channel: Channel) -> tuple[tuple[Channel, ...], tuple[Channel, ...]]:
        """The others that start and end something: those that send bursts, and steady ones that come and go."""
        others = [one for one in self.channels if one is not channel]
        found = self.others[channel.shift] = (
            tuple(one for one in others if not one.flow.steady),
            tuple(one for one in others if one.flow.steady and one.ahead < math.inf),
        )
        return found

    def alone(self, channel: Channel, size: float, done: Callable[[float, float], None], now: float) -> float:
        """Readies a burst that starts now and tells when it is through, where that is sure already: nothing else runs,
        falls behind or may start or end until then, and nothing steady notices it. Inf where it is not sure."""
        if self.bursts or self.behind or self.traced is not None:
            return math.inf
        rate, behind = self.by_itself.get(channel.shift) or self._by_itself(channel)
        if rate <= 0.0:
            return math.inf
        through = now + channel.alone_s(size, rate, behind)
        if self.others_ahead(channel) <= through:
            return math.inf
        channel.rate, channel.behind, channel.done, channel.first_lost = rate, behind, done, math.inf
        if behind:
            channel.since, channel.left, channel.unread, channel.backlog, channel.lost = now, size, size, 0.0, 0.0
        return through

    def _by_itself(self, channel: Channel) -> tuple[float, bool]:
        """The rate of a burst beside what is steady alone, and whether it falls behind; no rate where something steady
        would notice it."""
        key = self.steady_key | 1 << channel.shift
        share = self.shares.of(key)
        marked = share.key != key
        noticed = share.steady != self.steady_rates or (marked and share.key != key | 2 << channel.shift)
        found = self.by_itself[channel.shift] = (0.0, False) if noticed else (share.rates[channel.shift >> 1], marked)
        return found

    def rate_if(self, channel: Channel) -> tuple[float, bool]:
        """The rate a channel would get beside what runs now, bytes/s, and whether it would fall behind."""
        found = self.shares.of(self.key | 1 << channel.shift)
        return found.rates[channel.shift >> 1], bool(found.key >> channel.shift & 2)


class Stage:
    """Runs calls and bursts in the order of time. Channels are known by the names of their flows."""

    def __init__(self, flows: Sequence[Moving], capacities: Mapping[str, float], discipline: Discipline) -> None:
        self.now = 0.0
        self.until = math.inf
        self._count = 0
        self._heap: list[tuple[float, int, int, Group | Call]] = []
        self.channels = {flow.name: Channel(index, flow) for index, flow in enumerate(flows)}
        self.groups: dict[str, Group] = {}
        for members in joined(flows, capacities):
            sizes = {use.resource: capacities[use.resource] for flow in members for use in flow.uses}
            group = Group([self.channels[flow.name] for flow in members], Shares(members, sizes, discipline))
            self.groups.update((flow.name, group) for flow in members)

    def every_group(self) -> Iterator[Group]:
        """Each group once, in the order of its first flow."""
        yield from dict.fromkeys(self.groups.values())

    def call(self, at: float, what: Call) -> None:
        """Calls `what(now)` at a time."""
        self._count += 1
        heappush(self._heap, (at, self._count, 0, what))

    def send(self, name: str, size: float, done: Callable[[float, float], None]) -> None:
        """Starts a burst now; `done(now, first_lost)` at its end, with when its first byte was lost (inf: none)."""
        channel = self.channels[name]
        through = self.groups[name].alone(channel, size, done, self.now)
        if through < math.inf:  # most of a night: no clock has to be brought on
            channel.running = True
            self._count += 1
            heappush(self._heap, (through, self._count, 0, channel.arrive))
        else:
            self._start(name, size, done)

    def switch(self, name: str, on: bool) -> None:
        """A steady flow begins or stops asking, now."""
        channel, group = self.channels[name], self.groups[name]
        if on and not channel.running:
            lost, first = channel.lost, channel.first_lost
            self._start(name, math.inf, None)
            channel.lost, channel.first_lost = lost, first
        elif not on and channel.running:
            group.bring_to(self.now)
            group.end(channel)
            self._again(group)

    def start_together(self, starts: Sequence[tuple[str, float, Callable[[float, float], None] | None]]) -> None:
        """Starts bursts (name, bytes, what to call at its end) and steady flows (of inf bytes) in the same moment."""
        groups: dict[Group, None] = {}
        for name, size, done in starts:
            channel, group = self.channels[name], self.groups[name]
            group.bring_to(self.now)
            channel.start(size, done)
            group.begin(channel)
            groups[group] = None
        for group in groups:
            self._again(group)

    def run(self, until: float) -> None:
        """Everything up to and with a time."""
        self._pass_events(until)
        self.now = until
        for group in self.every_group():
            group.finish(until)

    def drain(self) -> None:
        """Everything there is to happen; bursts that get nothing are left where they are."""
        self._pass_events(math.inf)

    def _pass_events(self, until: float) -> None:
        self.until = until
        heap = self._heap
        while heap and heap[0][0] <= until:
            self.now, _, version, what = heappop(heap)
            if not isinstance(what, Group):
                what(self.now)
            elif version == what.version:
                self._fire(what)

    def _start(self, name: str, size: float, done: Callable[[float, float], None] | None) -> None:
        channel, group = self.channels[name], self.groups[name]
        group.bring_to(self.now)
        channel.start(size, done)
        group.begin(channel)
        self._again(group)

    def _fire(self, group: Group) -> None:
        """What a group waited for: a burst is through, or a buffer is empty."""
        channel = group.next
        assert channel is not None
        group.bring_to(self.now)
        if not group.ends:
            channel.behind, channel.backlog = False, 0.0
            if channel.flow.steady:
                group.steady_again()
            self._again(group)
            return
        group.end(channel)
        self._again(group)
        if channel.done is not None:
            channel.done(self.now, channel.first_lost)

    def _again(self, group: Group) -> None:
        at = group.settle()
        if at < math.inf:
            self._push(at, group.version, group)

    def _push(self, at: float, version: int, what: Group | Call) -> None:
        self._count += 1
        heappush(self._heap, (at, self._count, version, what))


def joined(flows: Sequence[Moving], capacities: Mapping[str, float]) -> Iterator[list[Moving]]:
    """The flows in groups that no resource joins which all of them at full rate could fill."""
    asked = tuple((flow.cap, flow.weight, flow.uses) for flow in flows)
    for numbers in _grouped(asked, tuple(capacities.items())):
        yield [flows[number] for number in numbers]


@lru_cache(maxsize=MOST_REMEMBERED)
def _grouped(asked: Asked, capacities: tuple[tuple[str, float], ...]) -> tuple[tuple[int, ...], ...]:
    """The same by what flows ask for, as numbers: whose they are does not matter, and plans ask the same many times."""
    demands = [Demand(str(number), *each) for number, each in enumerate(asked)]
    return tuple(map(tuple, groups(demands, dict(capacities))))
