"""USB 2 by transactions, for the tests: one bus that serves endpoints in turn, a packet each, in simpy.

Shares no code with the tool. The bus sends one packet at a time. Fair: endpoints with a packet ready are served in
turn (USB 2.0 leaves the order to the host; hosts go round their queues). Last: the guide camera only when no other has
a packet ready. A source with memory sends no faster than its readout; one without reads on while it waits, into its
buffer, and sends that as fast as the bus lets it. Slow devices send through a translator: one packet on its 12 Mb/s
side at a time, then two split transactions on the bus.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import simpy

PACKET = 512
FEW = 8
"""Packets by which a source that paces itself may catch up: it keeps some ready."""


@dataclass
class Source:
    """An endpoint: packets come at `rate` bytes/s from `since` on, `left` bytes in all (inf: a stream that never
    catches up). `sent` bytes so far."""

    name: str
    rate: float
    buffer: float = math.inf
    last: bool = False
    steady: bool = False
    since: float = 0.0
    size: float = 0.0
    sent: float = 0.0
    next_at: float = math.inf
    lost_at: float = math.inf
    lost: float = 0.0
    done: Any = None
    place: int = 0

    def start(self, now: float, size: float, done: Any) -> None:
        self.since, self.size, self.sent, self.done, self.lost_at, self.lost = now, size, 0.0, done, math.inf, 0.0
        self.next_at = now

    def ready_at(self) -> float:
        """When its next packet can be sent."""
        return self.next_at

    def took(self, now: float) -> None:
        """A packet is through."""
        packet = min(PACKET, self.size - self.sent - self.lost)
        self.sent += packet
        if self.sent + self.lost >= self.size or self.next_at == math.inf:
            self.next_at = math.inf
            return
        if self.steady or self.buffer == math.inf:
            self.next_at = max(now - FEW * PACKET / self.rate, self.next_at + packet / self.rate)
            return
        self.next_at = max(now, self.since + (self.sent + self.lost) / self.rate)
        read = min(self.size, (now - self.since) * self.rate)
        if read - self.sent - self.lost > self.buffer:
            self.lost_at = min(self.lost_at, now)
            self.lost = read - self.sent - self.buffer


@dataclass
class Bus:
    """The bus: serves its sources until the end. `splits` are short transactions that slow devices wait to send."""

    env: simpy.Environment
    bytes_per_s: float
    fair: bool
    sources: list[Source] = field(default_factory=list)
    splits: list[tuple[float, Any]] = field(default_factory=list)
    server: Any = None
    idle: bool = False

    def open(self) -> None:
        self.server = self.env.process(self.serve())

    def ring(self) -> None:
        if self.idle:
            self.idle = False
            self.server.interrupt()

    def serve(self) -> Iterator[Any]:
        turn = 0
        while True:
            if self.splits:
                spent, done = self.splits.pop(0)
                yield self.env.timeout(spent)
                done.succeed()
                continue
            now = self.env.now + 1e-12
            ready = [source for source in self.sources if source.ready_at() <= now]
            if not self.fair and any(not source.last for source in ready):
                ready = [source for source in ready if not source.last]
            if not ready:
                soonest = min((source.ready_at() for source in self.sources), default=math.inf)
                self.idle = True
                try:
                    yield self.env.timeout(max(0.0, min(soonest, 1e9) - self.env.now))
                    self.idle = False
                except simpy.Interrupt:
                    pass
                continue
            source = ready[0]
            if len(ready) > 1:
                source = min(ready, key=lambda one: (one.place - turn) % len(self.sources))
            turn = source.place + 1
            packet = min(PACKET, source.size - source.sent - source.lost)
            yield self.env.timeout(packet / self.bytes_per_s)
            source.took(self.env.now)
            if source.next_at == math.inf and source.done is not None:
                done, source.done = source.done, None
                done.succeed()


@dataclass(frozen=True)
class Late:
    """One guide frame: when it would have come alone, how much later it came, and whether it was lost."""

    due: float
    by: float
    lost: bool


def guide_loop(bus: Bus, source: Source, size: float, exposure: float, alone: float, after: float, start: float,
               frames: list[Late]) -> Iterator[Any]:
    yield bus.env.timeout(start)
    while True:
        yield bus.env.timeout(exposure)
        asked, done = bus.env.now, bus.env.event()
        source.start(asked, size, done)
        bus.ring()
        yield done
        frames.append(Late(asked + alone, bus.env.now - asked - alone, source.lost_at < math.inf))
        yield bus.env.timeout(after)


def shooting(bus: Bus, source: Source, size: float, exposure: float, pause: float, start: float) -> Iterator[Any]:
    yield bus.env.timeout(start)
    while True:
        yield bus.env.timeout(exposure)
        done = bus.env.event()
        source.start(bus.env.now, size, done)
        bus.ring()
        yield done
        yield bus.env.timeout(pause)


def copying(bus: Bus, source: Source, on: float, every: float, start: float) -> Iterator[Any]:
    yield bus.env.timeout(start)
    while True:
        source.start(bus.env.now, math.inf, None)
        bus.ring()
        yield bus.env.timeout(on)
        source.next_at = math.inf
        yield bus.env.timeout(every - on)


def polling(bus: Bus, translator: simpy.Resource, size: int, polls_per_s: float, slow_bytes_per_s: float,
            bus_seconds: float) -> Iterator[Any]:
    """Question and answer in one packet through a translator: its slow side, then two splits on the bus."""
    while True:
        yield bus.env.timeout(1.0 / polls_per_s)
        with translator.request() as turn:
            yield turn
            yield bus.env.timeout((size + 13) / slow_bytes_per_s)
            for _ in range(2):
                done = bus.env.event()
                bus.splits.append((bus_seconds, done))
                bus.ring()
                yield done
