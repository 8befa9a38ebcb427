"""Groups the reads of one endpoint to frames, as they come: a read shorter than asked ends one, and so does a pause.

A pause is longer than 20 ms and than five usual spacings within the frame (common practice, no source). Reads
that ask for less than one packet are replies to commands, not part of it.
"""

from __future__ import annotations

import math

from topo.model.evidence import FrameData, Moment

MOST_FRAMES = 100_000
"""Frames kept of a whole capture: a guide frame each second for a day, or a quarter hour of video."""
LEAST_PICTURE_BYTES = 20_000
"""Endpoints whose frames are smaller than this on average give way first: replies, disks, network adapters."""
LEAST_PAUSE_S = 0.020
SPACINGS = 5.0
LEAST_FRAME_BYTES = 512
"""Less than one packet of high speed is no picture."""


class FrameRoom:
    """How many frames all endpoints of a capture keep together, so that memory has an end. Mutable."""

    __slots__ = ("_count", "_streams")

    def __init__(self) -> None:
        self._count = 0
        self._streams: list[Frames] = []

    def join(self, stream: Frames) -> None:
        """An endpoint that keeps frames here."""
        self._streams.append(stream)

    def one_more(self) -> None:
        """A frame was kept. Where they are too many, an endpoint gives its own up, or keeps no more of them."""
        self._count += 1
        if self._count <= MOST_FRAMES:
            return
        keeping = [stream for stream in self._streams if stream.keeps]
        least = min(keeping, key=Frames.usual_bytes)
        if len(keeping) > 1 and least.usual_bytes() < LEAST_PICTURE_BYTES:
            self._count -= least.give_up()
        else:
            max(keeping, key=Frames.kept).keeps = False


class Frames:
    """The frames of one endpoint. Mutable; only the meter feeds it.

    `keeps` tells whether frames that end are still kept; those that are not are counted in `left_out`.
    """

    __slots__ = (
        "_bytes", "_device", "_done", "_endpoint", "_first", "_kept", "_moved", "keeps", "last", "left_out", "reads",
        "seen", "size",
    )

    def __init__(self, device: str, endpoint: int, kept: FrameRoom) -> None:
        self._device, self._endpoint, self._kept = device, endpoint, kept
        self._done: list[tuple[float, float, int, int, int, bool]] = []
        self._bytes = 0
        self.keeps = True
        kept.join(self)
        self._first = self.last = 0.0
        self.size = self.reads = self._moved = self.seen = 0
        self.left_out = 0

    def take(self, at: float, length: int, asked: int, moved: int) -> None:
        """One completion: bytes read and asked for, and all bytes its bus has moved so far, these included."""
        if length == asked >= LEAST_FRAME_BYTES <= self.size and at - self.last <= LEAST_PAUSE_S:
            self.last, self.seen = at, moved  # one more of a frame: what follows would say the same, later
            self.size += length
            self.reads += 1
            return
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
            if self.keeps:
                others = max(0, self.seen - self._moved - self.size)
                self._done.append((self._first, self.last, self.size, self.reads, others, by_short))
                self._bytes += self.size
                self._kept.one_more()
            else:
                self.left_out += 1
        self.size = self.reads = 0

    def kept(self) -> int:
        """How many frames are kept."""
        return len(self._done)

    def usual_bytes(self) -> float:
        """Bytes of a frame on average; endless where none is kept, since nothing is won by giving that up."""
        return self._bytes / len(self._done) if self._done else math.inf

    def give_up(self) -> int:
        """Lets go of all frames and keeps none from here on: how many they were."""
        number = len(self._done)
        self._done, self.keeps = [], False
        self.left_out += number
        return number

    def bursts(self, clock: str) -> list[FrameData]:
        """Every frame that is kept, the last one too; once, since they are let go of here."""
        if self.reads:
            self._end(False)
        found = [
            FrameData(Moment(first, clock), Moment(last, clock), self._device, self._endpoint, size, reads, others,
                      short)
            for first, last, size, reads, others, short in self._done
        ]
        self._done = []
        return found
