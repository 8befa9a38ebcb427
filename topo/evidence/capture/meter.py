"""Adds up one interface of a capture, packet by packet, in memory that does not grow with its length.

Submissions and completions are paired by their id. Submit to complete is waiting, not transfer.
"""

from __future__ import annotations

from itertools import chain

from topo.evidence.capture.frames import FrameRoom, Frames
from topo.model.evidence import FrameData, Transfers

KINDS = ("iso", "interrupt", "control", "bulk")
MOST_OPEN = 50_000
"""Transfers under way at once beyond this are no real ones; the oldest are let go."""
MOST_ENDPOINTS = 4_096
MOST_BINS = 4_096
CANCELLED = frozenset((-2, -104, -108, -0x3FFF0000))
"""ENOENT, ECONNRESET, ESHUTDOWN; the other system's "cancelled" (0xC0010000): nobody's fault by themselves."""
SHORTER = -121
"""EREMOTEIO: shorter than the driver demanded; no fault of the bus."""
LATENCY_STEPS_PER_S = 20_000
"""Latencies are counted in steps of 50 us."""
MOST_LATENCIES = 2_000


class Counts:
    """What one endpoint did so far. Mutable; only this room touches it."""

    __slots__ = (
        "bin_end", "bin_s", "bin_size", "bins", "bus", "cancelled", "completions", "device", "endpoint",
        "errors", "first", "frames", "kind", "last", "latency", "long", "pairs", "size", "statuses", "submissions",
    )

    def __init__(self, device: str, endpoint: int, kind: int, first: float, bus: list[int], kept: FrameRoom) -> None:
        self.device, self.endpoint, self.kind = device, endpoint, kind
        self.submissions = self.completions = self.pairs = 0
        self.size = self.errors = self.cancelled = 0
        self.statuses: dict[int, int] = {}
        self.first = self.last = first
        self.latency = [0] * MOST_LATENCIES
        self.long: dict[int, int] = {}
        self.bin_s, self.bin_end, self.bin_size = 1.0, 0.0, 0
        self.bins: dict[int, int] = {}
        self.bus = bus
        self.frames = Frames(device, endpoint, kept) if kind in (0, 3) and endpoint >= 128 else None

    def status(self, status: int) -> None:
        """Counts how a transfer ended that did not end well."""
        self.statuses[status] = self.statuses.get(status, 0) + 1
        if status in CANCELLED:
            self.cancelled += 1
        elif not (status == SHORTER and self.endpoint >= 128):
            self.errors += 1

    def waited(self, seconds: float) -> None:
        """Counts how long a transfer was under way."""
        step = max(0, int(seconds * LATENCY_STEPS_PER_S))
        if step < MOST_LATENCIES:
            self.latency[step] += 1
            return
        coarse: int = 1 << (min(step, 1 << 40).bit_length() - 9)
        step -= step % coarse  # coarser where it is longer: half a per cent
        self.long[step] = self.long.get(step, 0) + 1

    def completed(self, at: float, begun: tuple[float, int] | None, status: int, length: int) -> None:
        """Counts one transfer that ended; `begun` is when it was submitted and for how much."""
        self.completions += 1
        self.last = at
        if status:
            self.status(status)
        if begun is None:
            asked = length
        else:
            since, asked = begun
            self.pairs += 1
            step = int((at - since) * LATENCY_STEPS_PER_S)
            if 0 <= step < MOST_LATENCIES:
                self.latency[step] += 1
            else:
                self.waited(at - since)
        if length:
            if at >= self.bin_end:
                self.next_bin(at)
            self.bin_size += length
            self.size += length
            self.bus[0] += length
        elif status:
            return
        if self.frames is not None:
            self.frames.take(at, length, asked, self.bus[0])

    def next_bin(self, at: float) -> None:
        """Puts the bytes of the bin that ended where they belong, and begins the one of this time."""
        if self.bin_size:
            index = round(self.bin_end / self.bin_s) - 1
            self.bins[index] = self.bins.get(index, 0) + self.bin_size
            if len(self.bins) > MOST_BINS:
                merged: dict[int, int] = {}
                for old, amount in self.bins.items():
                    merged[old // 2] = merged.get(old // 2, 0) + amount
                self.bins, self.bin_s = merged, self.bin_s * 2
        self.bin_end = (int(at / self.bin_s) + 1) * self.bin_s
        self.bin_size = 0


class Meter:
    """Everything seen on one interface. `clock` is the name of the capture's clock, `kept` the frames of all."""

    __slots__ = ("_kept", "buses", "clock", "endpoints", "last", "names", "open", "refused", "steps")

    def __init__(self, clock: str, kept: FrameRoom) -> None:
        self.clock, self._kept = clock, kept
        self.endpoints: dict[int, Counts] = {}
        self.open: dict[int, tuple[float, int]] = {}
        self.names: dict[int, tuple[str, str]] = {}
        self.buses: dict[int, list[int]] = {}
        self.last = 0.0
        self.steps: list[tuple[float, float]] = []
        self.refused = 0

    def counts(self, bus: int, device: int, endpoint: int, kind: int, at: float) -> Counts | None:
        """What is counted of an endpoint; None where a capture has more endpoints than any system."""
        endpoint = 0 if kind == 2 else endpoint
        key = key_of(bus, device, endpoint)
        made = self.endpoints.get(key)
        if made is None:
            if len(self.endpoints) >= MOST_ENDPOINTS:
                self.refused += 1
                return None
            moved = self.buses.setdefault(bus, [0])
            made = self.endpoints[key] = Counts(f"{bus}.{device}", endpoint, kind, at, moved, self._kept)
        return made

    def packet(
        self, at: float, ident: int, event: int, kind: int, endpoint: int, device: int, bus: int, status: int,
        length: int,
    ) -> None:
        """One event: `event` is the letter S, C or E as a number. `length` in bytes, `at` in seconds."""
        counts = self.counts(bus, device, endpoint, kind, at) if kind <= 3 else None
        if counts is None:
            return
        if at < self.last:
            self.back(at, self.last)
        self.last = counts.last = at
        if event == 83:  # S
            counts.submissions += 1
            self.open[ident] = (at, length)
            if len(self.open) > MOST_OPEN:
                self.let_go()
            return
        counts.completed(at, self.open.pop(ident, None), status, length)

    def back(self, at: float, last: float) -> None:
        """A stamp before the last one: a clock that was set, or packets that overtook each other."""
        step = at - last
        if step < -0.5 and len(self.steps) < 1000:
            self.steps.append((at, step))

    def let_go(self) -> None:
        """Forgets the oldest of too many transfers under way."""
        for ident in list(self.open)[: len(self.open) - MOST_OPEN // 2]:
            del self.open[ident]

    def transfers(self) -> list[Transfers]:
        """What every endpoint did."""
        return [self._transfers(self.endpoints[key]) for key in sorted(self.endpoints)]

    def _transfers(self, counts: Counts) -> Transfers:
        bus, device = counts.device.split(".")
        vendor, product = self.names.get(int(bus) << 8 | int(device), (None, None))
        counts.next_bin(counts.last)
        first = min(counts.bins, default=0)
        width = min(max(counts.bins, default=-1) - first + 1, 4 * MOST_BINS)
        good = counts.completions - sum(counts.statuses.values())
        done = {**counts.statuses, 0: good} if good else counts.statuses
        return Transfers(
            counts.device, counts.endpoint, KINDS[counts.kind],  # type: ignore[arg-type]
            counts.submissions, counts.completions, counts.size, counts.errors, counts.cancelled,
            tuple(sorted(done.items())), counts.first, counts.last,
            _quantile(counts, 0.05), _quantile(counts, 0.5), _quantile(counts, 0.95), counts.bin_s,
            tuple(counts.bins.get(first + n, 0) for n in range(width)), vendor, product,
        )

    def bursts(self) -> list[FrameData]:
        """Frames of every endpoint that sends data in, endpoint by endpoint."""
        found: list[FrameData] = []
        for key in sorted(self.endpoints):
            if (frames := self.endpoints[key].frames) is not None:
                found += frames.bursts(self.clock)
        return found


def key_of(bus: int, device: int, endpoint: int) -> int:
    """The number an endpoint is kept under."""
    return bus << 16 | device << 8 | endpoint


def _quantile(counts: Counts, share: float) -> float | None:
    """The latency, in s, that this share of completions is not above (the middle of its step)."""
    wanted, seen = share * counts.pairs, 0
    for step, count in chain(enumerate(counts.latency), sorted(counts.long.items())):
        seen += count
        if count and seen >= wanted:
            return (step + 0.5) / LATENCY_STEPS_PER_S
    return None
