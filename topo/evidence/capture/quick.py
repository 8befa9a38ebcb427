"""The short way through a capture: runs of ordinary bulk and interrupt packets of one Linux interface in pcapng.

The same sums as `Meter.packet`, written out in one loop: a night's capture has tens of millions of packets, and calls
cost more than the sums. Anything else ends a run and is read the long way; tests hold both ways against each other.
"""

from __future__ import annotations

import mmap
import struct

from topo.evidence.capture.frames import LEAST_FRAME_BYTES, LEAST_PAUSE_S
from topo.evidence.capture.meter import LATENCY_STEPS_PER_S, MOST_LATENCIES, MOST_OPEN, Counts, Meter, key_of

MOST_WORDS = 8_192
"""Ways the eight bytes of event, kind, place and flags can look; a capture that has more of them is made up."""


class Quick:
    """Runs over packets of one interface. `order` is its section's byte order, `number` its number there."""

    def __init__(self, meter: Meter, order: str, number: int, tick_s: float, offset_s: float) -> None:
        self._meter = meter
        self._number, self._tick_s, self._offset_s = number, tick_s, offset_s
        self._struct = struct.Struct(order + "7IQQ12xiI")
        self._order = order
        self._words: dict[int, tuple[bool, Counts]] = {}
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
        if len(self._words) >= MOST_WORDS:
            self._words.clear()
        self._words[word] = (event == 83, counts)
        return self._words[word]

    def run(self, data: mmap.mmap, position: int, limit: int) -> tuple[int, int]:
        """Reads packets from `position` as long as they begin at or before `limit`: where it ended, and how many."""
        meter, number, tick, offset = self._meter, self._number, self._tick_s, self._offset_s
        unpack, known, under_way = self._struct.unpack_from, self._words.get, meter.open
        taken = under_way.pop
        last, packets, cut, high_before, base = meter.last, 0, 0, -1, 0.0
        while position <= limit:
            kind, size, which, high, low, captured, original, ident, word, status, length = unpack(data, position)
            if kind != 6 or which != number or captured < 64 or captured + 32 > size:
                break
            way = known(word) or self._known(word)
            if way is None:
                break
            submits, counts = way
            if high != high_before:
                high_before, base = high, (high << 32) * tick + offset
            at = base + low * tick
            if at < last:
                meter.last = last
                meter.back(at)
            last = at
            packets += 1
            position += size
            if captured < original:
                cut += 1
            if submits:
                counts.submissions += 1
                counts.asked += length
                under_way[ident] = (at, length)
                continue
            begun = taken(ident, None)
            if begun is None or status or not length:
                asked = counts.completed(at, begun, status, length)
            else:  # `completed`, written out
                counts.completions += 1
                counts.pairs += 1
                since, asked = begun
                step = int((at - since) * LATENCY_STEPS_PER_S)
                if 0 <= step < MOST_LATENCIES:
                    counts.latency[step] += 1
                else:
                    counts.waited(at - since)
                if at >= counts.bin_end:
                    counts.next_bin(at)
                counts.bin_size += length
                counts.size += length
                counts.bus[0] += length
                counts.last = at
            frames = counts.frames
            if frames is None or (asked < LEAST_FRAME_BYTES and not frames.reads):
                continue
            if length == asked >= LEAST_FRAME_BYTES <= frames.size and at - frames.last <= LEAST_PAUSE_S:
                frames.last = at
                frames.size += length
                frames.reads += 1
                frames.seen = counts.bus[0]
            elif length or not status:
                frames.take(at, length, asked, counts.bus[0])
        meter.last = last
        self.cut += cut
        if len(under_way) > MOST_OPEN:
            meter.let_go()
        return position, packets
