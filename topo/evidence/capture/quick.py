"""The short way through a capture: runs of ordinary bulk and interrupt packets of one Linux interface in pcapng.

The same sums as `Meter.packet`, written out in one loop: a night's capture has tens of millions of packets, and calls
cost more than the sums. Anything else ends a run and is read the long way; tests hold both ways against each other.
"""

from __future__ import annotations

import mmap
import struct
from collections.abc import Callable

from topo.evidence.capture.frames import LEAST_FRAME_BYTES
from topo.evidence.capture.meter import LATENCY_STEPS_PER_S, MOST_LATENCIES, MOST_OPEN, Counts, Meter, key_of

MOST_WORDS = 8_192
"""Ways the eight bytes of event, kind, place and flags can look; a capture that has more of them is made up."""

USUAL_WAIT_S = (MOST_LATENCIES - 1) / LATENCY_STEPS_PER_S
"""What is under way for longer is counted the long way."""


class _Words(dict[int, "tuple[bool, Counts] | None"]):
    """What is known of the eight bytes of packets; what is asked for first is looked up, and None not kept."""

    def __init__(self, look_up: Callable[[int], tuple[bool, Counts] | None]) -> None:
        super().__init__()
        self._look_up = look_up

    def __missing__(self, word: int) -> tuple[bool, Counts] | None:
        found = self._look_up(word)
        if found is not None:
            if len(self) >= MOST_WORDS:
                self.clear()
            self[word] = found
        return found


class Quick:
    """Runs over packets of one interface. `order` is its section's byte order, `number` its number there."""

    def __init__(self, meter: Meter, order: str, number: int, tick_s: float, offset_s: float) -> None:
        self._meter = meter
        self._number, self._tick_s, self._offset_s = number, tick_s, offset_s
        self._struct = struct.Struct(order + "7IQQ12xiI")
        self._order = order
        self._words = _Words(self._known)
        self.need = self._struct.size
        self.cut = 0

    def _known(self, word: int) -> tuple[bool, Counts] | None:
        """Whether a packet with these eight bytes submits, and what is counted of its endpoint; None for the long way.

        Only bulk and interrupt transfers of endpoints that were seen before go the short way.
        """
        packed = struct.pack(self._order + "Q", word)
        event, kind, endpoint, device, bus = struct.unpack_from(self._order + "4BH", packed)
        counts = self._meter.endpoints.get(key_of(bus, device, endpoint))
        if event not in (83, 67) or kind not in (1, 3) or counts is None:
            return None
        return event == 83, counts

    def run(self, data: mmap.mmap, position: int, limit: int) -> tuple[int, int]:
        """Reads packets from `position` as long as they begin at or before `limit`: where it ended, and how many."""
        meter, number, tick, offset = self._meter, self._number, self._tick_s, self._offset_s
        unpack, words, under_way, taken = self._struct.unpack_from, self._words, meter.open, meter.open.pop
        last, packets, cut, high_before, base = meter.last, 0, 0, -1, 0.0
        while position <= limit:
            kind, size, which, high, low, captured, original, ident, word, status, length = unpack(data, position)
            if kind != 6 or which != number or captured < 64 or captured + 32 > size or (way := words[word]) is None:
                break
            submits, counts = way
            if high != high_before:
                high_before, base = high, (high << 32) * tick + offset
            at = base + low * tick
            if at < last:
                meter.back(at, last)
            last = at
            packets += 1
            position += size
            if captured < original:
                cut += 1
            if submits:
                counts.submissions += 1
                under_way[ident] = (at, length)
                continue
            begun = taken(ident, None)
            if begun is None or status or not length or at >= counts.bin_end or not 0.0 <= at - begun[0] < USUAL_WAIT_S:
                counts.completed(at, begun, status, length)
                continue
            since, asked = begun  # from here on `completed` for the usual case, written out
            counts.completions += 1
            counts.pairs += 1
            counts.latency[int((at - since) * LATENCY_STEPS_PER_S)] += 1
            counts.bin_size += length
            counts.size += length
            counts.bus[0] += length
            counts.last = at
            if (frames := counts.frames) is not None and (asked >= LEAST_FRAME_BYTES or frames.reads):
                frames.take(at, length, asked, counts.bus[0])
        meter.last = last
        self.cut += cut
        if len(under_way) > MOST_OPEN:
            meter.let_go()
        return position, packets
