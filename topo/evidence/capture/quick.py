"""The short way through a capture: runs of ordinary bulk and interrupt packets of one Linux interface in pcapng.

The same sums as `Meter.packet`, written out in one loop: a night's capture has tens of millions of packets, and calls
cost more than the sums. Anything else ends a run and is read the long way; tests hold both ways against each other.
"""

from __future__ import annotations

import mmap
import struct

from topo.evidence.capture.frames import LEAST_FRAME_BYTES, LEAST_PAUSE_S
from topo.evidence.capture.meter import LATENCY_STEPS_PER_S, MOST_LATENCIES, MOST_OPEN, Meter

SUBMIT, DONE = 1, 2


class Quick:
    """Runs over packets of one interface. `order` is its section's byte order, `number` its number there."""

    def __init__(self, meter: Meter, order: str, number: int, tick_s: float, offset_s: float) -> None:
        self._meter = meter
        self._number, self._tick_s, self._offset_s = number, tick_s, offset_s
        self._struct = struct.Struct(order + "7IQHBBH14xiI")
        pack = struct.Struct(order + "H").unpack
        self._codes = {pack(bytes((event, kind)))[0]: code
                       for event, code in ((83, SUBMIT), (67, DONE)) for kind in (1, 3)}
        self.need = self._struct.size
        self.cut = 0

    def run(self, data: mmap.mmap, position: int, limit: int) -> tuple[int, int]:
        """Reads packets from `position` as long as they begin at or before `limit`: where it ended, and how many."""
        meter, number, tick, offset = self._meter, self._number, self._tick_s, self._offset_s
        unpack, code_of, endpoints, under_way = (
            self._struct.unpack_from, self._codes.get, meter.endpoints, meter.open)
        last, packets, cut = meter.last, 0, 0
        high_before, base = -1, 0.0
        begin = SUBMIT
        while position <= limit:
            (kind, size, which, high, low, captured, original, ident, letters, endpoint, device, bus, status,
             length) = unpack(data, position)
            code = code_of(letters)
            counts = endpoints.get(bus << 16 | device << 8 | endpoint)
            if kind != 6 or which != number or code is None or counts is None or captured < 64 or captured + 32 > size:
                break
            if high != high_before:
                high_before, base = high, (high << 32) * tick + offset
            at = base + low * tick
            if at < last:
                meter.last = last
                meter.back(at)
            last = at
            packets += 1
            position += size
            if captured != original:
                cut += captured < original
            if code == begin:
                counts.submissions += 1
                counts.asked += length
                under_way[ident] = (at, length, counts)
                continue
            counts.completions += 1
            counts.last = at
            if status:
                counts.status(status)
            asked = length
            begun = under_way.pop(ident, None)
            if begun is not None:
                counts.pairs += 1
                asked = begun[1]
                step = int((at - begun[0]) * LATENCY_STEPS_PER_S)
                if step > MOST_LATENCIES:
                    counts.waited(at - begun[0])
                else:
                    latency = counts.latency
                    latency[step] = latency.get(step, 0) + 1
            moved = counts.bus
            if length:
                counts.size += length
                moved[0] += length
                if at >= counts.bin_end:
                    counts.next_bin(at)
                counts.bin_size += length
            frames = counts.frames
            if frames is not None and (length or not status):
                if length == asked >= LEAST_FRAME_BYTES <= frames.size and at - frames.last <= LEAST_PAUSE_S:
                    frames.last = at
                    frames.size += length
                    frames.reads += 1
                    frames.seen = moved[0]
                else:
                    frames.take(at, length, asked, moved[0])
        meter.last = last
        self.cut += cut
        if len(under_way) > MOST_OPEN:
            meter.let_go()
        return position, packets
