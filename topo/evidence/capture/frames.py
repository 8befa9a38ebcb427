"""Groups the reads of one endpoint to frames, as they come: a read shorter than asked ends one, and so does a pause.

A pause is longer than 20 ms and than five usual spacings within the frame (common practice, no source). Reads
that ask for less than one packet are replies to commands, not part of it.
"""

from __future__ import annotations

from topo.model.evidence import FrameData, Moment

MOST_FRAMES = 100_000
LEAST_PAUSE_S = 0.020
SPACINGS = 5.0
LEAST_FRAME_BYTES = 512
"""Less than one packet of high speed is no picture."""


class Frames:
    """The frames of one endpoint. Mutable; only the meter feeds it, and `last`, `size`, `reads`, `seen` directly."""

    __slots__ = ("_device", "_done", "_endpoint", "_first", "_moved", "last", "left_out", "reads", "seen", "size")

    def __init__(self, device: str, endpoint: int) -> None:
        self._device, self._endpoint = device, endpoint
        self._done: list[tuple[float, float, int, int, int, bool]] = []
        self._first = self.last = 0.0
        self.size = self.reads = self._moved = self.seen = 0
        self.left_out = 0

    def take(self, at: float, length: int, asked: int, moved: int) -> None:
        """One completion: bytes read and asked for, and all bytes its bus has moved so far, these included."""
        if asked < LEAST_FRAME_BYTES:
            if self.reads:
                self._end(False)
            return
        if self.reads and self._pause(at):
            self._end(False)
        if not self.reads:
            if not length:
                return
            self._first, self._moved = at, moved - length
        self.last, self.seen = at, moved
        self.size += length
        self.reads += 1
        if length < asked:
            self._end(True)

    def _pause(self, at: float) -> bool:
        gap = at - self.last
        usual = (self.last - self._first) / (self.reads - 1) if self.reads > 1 else 0.0
        return gap > LEAST_PAUSE_S and gap > SPACINGS * usual

    def _end(self, by_short: bool) -> None:
        if self.size >= LEAST_FRAME_BYTES:
            if len(self._done) < MOST_FRAMES:
                others = max(0, self.seen - self._moved - self.size)
                self._done.append((self._first, self.last, self.size, self.reads, others, by_short))
            else:
                self.left_out += 1
        self.size = self.reads = 0

    def bursts(self, clock: str) -> list[FrameData]:
        """Every frame that ended, the last one too."""
        if self.reads:
            self._end(False)
        return [
            FrameData(Moment(first, clock), Moment(last, clock), self._device, self._endpoint, size, reads, others,
                      short)
            for first, last, size, reads, others, short in self._done
        ]
