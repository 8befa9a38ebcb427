"""Blocks of a pcapng file and records of a pcap file, walked in a window over the file: memory stays the same.

Sources: the pcapng draft of the IETF's opsawg and the pcap format as every reader has it.
"""

from __future__ import annotations

import mmap
import os
import struct
from dataclasses import dataclass, field
from typing import BinaryIO

from topo.evidence.capture.frames import FrameRoom
from topo.evidence.capture.meter import Meter
from topo.evidence.capture.packets import HEADERS, USBMON_LINKS, CaptureFace, slow_packet
from topo.evidence.capture.quick import Quick

WINDOW = 16 * 1024 * 1024
MOST_BLOCK = 64 * 1024 * 1024
MOST_INTERFACES = 64
MOST_HEADER = 8_192
"""What is looked at of a block: its header, that of its packet, and descriptors of isochronous packets."""
WHOLE_HEADER = 28 + 64
SECTION = b"\n\r\r\n"
PCAP = {b"\xd4\xc3\xb2\xa1": ("<", 1e-6), b"\xa1\xb2\xc3\xd4": (">", 1e-6),
        b"\x4d\x3c\xb2\xa1": ("<", 1e-9), b"\xa1\xb2\x3c\x4d": (">", 1e-9)}
"""Magic of a pcap file: byte order, and seconds a tick of the second stamp."""


@dataclass(slots=True)
class Walked:
    """What a walk found: interfaces, packets, those that could not be read, what the file says was lost, and its end.

    An interface of a later section goes on with the sums of the one of its number before.
    """

    faces: list[CaptureFace] = field(default_factory=list)
    meters: dict[tuple[int, int], Meter] = field(default_factory=dict)
    packets: int = 0
    unread: int = 0
    cut: int = 0
    dropped: int = 0
    ended: str = ""
    kept: FrameRoom = field(default_factory=FrameRoom)


class View:
    """A window over a file that moves on. `at` gives bytes from a place in the file, and how far they reach."""

    def __init__(self, stream: BinaryIO) -> None:
        self._file = stream.fileno()
        self.size = os.fstat(self._file).st_size
        self._map: mmap.mmap | None = None
        self.base = 0
        self.end = 0

    def at(self, position: int, need: int) -> mmap.mmap:
        """A window that holds `need` bytes from `position` on, as far as the file has them."""
        if self._map is None or position < self.base or position + need > self.end:
            self.close()
            self.base = position - position % mmap.ALLOCATIONGRANULARITY
            self.end = min(self.size, self.base + max(WINDOW, position - self.base + need))
            self._map = mmap.mmap(self._file, self.end - self.base, access=mmap.ACCESS_READ, offset=self.base)
        return self._map

    def close(self) -> None:
        """Lets the window go."""
        if self._map is not None:
            self._map.close()
            self._map = None


def walk(stream: BinaryIO) -> Walked:
    """Walks a capture to its end. Raises ValueError where it is none."""
    view = View(stream)
    if view.size < 24:
        raise ValueError("it is too short for a capture")
    try:
        start = bytes(view.at(0, 24)[:24])
        if start[:4] in PCAP:
            return _records(view, *PCAP[start[:4]], struct.unpack_from(PCAP[start[:4]][0] + "I", start, 20)[0])
        if start[:4] == SECTION:
            return _blocks(view)
        raise ValueError("it starts neither as pcap nor as pcapng")
    finally:
        view.close()


def _records(view: View, order: str, tick_s: float, link: int) -> Walked:
    walked = Walked()
    face = CaptureFace(link & 0xFFFF, tick_s, 0.0, Meter("utc", walked.kept))
    walked.faces.append(face)
    walked.meters[(0, face.link)] = face.meter
    head = struct.Struct(order + "4I")
    position = 24
    while position + 16 <= view.size:
        data = view.at(position, 16)
        second, part, captured, original = head.unpack_from(data, position - view.base)
        if captured > MOST_BLOCK:
            walked.ended = f"record {walked.packets + 1} says it is {captured} bytes long; what follows is not read"
            return walked
        if position + 16 + captured > view.size:
            walked.ended = "it is cut off within its last record"
            return walked
        data = view.at(position, 16 + min(captured, 4096))
        begin = position + 16 - view.base
        at = second + part * tick_s
        walked.packets += 1
        walked.cut += captured < original
        if not slow_packet(face, order, data[begin:begin + min(captured, 4096)], at):
            walked.unread += 1
        position += 16 + captured
    if position < view.size:
        walked.ended = "it is cut off within its last record"
    return walked


def _blocks(view: View) -> Walked:
    """Walks the blocks of a pcapng file: runs of ordinary packets the short way, everything else block by block."""
    walked = Walked()
    order, faces = "<", _Faces()
    position = 0
    while position >= 0 and position + 12 <= view.size:
        quick = faces.quick
        if quick is not None and position + quick.need <= view.size:
            data = view.at(position, quick.need)
            ended, packets = quick.run(data, position - view.base, view.end - view.base - quick.need)
            walked.packets += packets
            position = view.base + ended
            if position + quick.need > view.end and view.end < view.size and packets:
                continue  # the window ended, not the run
        if position + 12 > view.size:
            break
        position, order = _slow_block(view, position, order, walked, faces)
    walked.cut += sum(quick.cut for quick in faces.all)
    if 0 <= position < view.size:
        walked.ended = walked.ended or "it is cut off within its last block"
    elif position > view.size:
        walked.ended = "it is cut off within its last block"
    return walked


@dataclass(slots=True)
class _Faces:
    """The interfaces of the section being read, by their number there, and the short way for the one in use."""

    numbers: list[int] = field(default_factory=list)
    quick: Quick | None = None
    ways: dict[int, Quick] = field(default_factory=dict)
    all: list[Quick] = field(default_factory=list)

    def begin_section(self) -> None:
        """Numbers start again in each section."""
        self.numbers, self.quick, self.ways = [], None, {}

    def use(self, number: int, order: str, face: CaptureFace) -> None:
        """From here on the short way is that of this interface."""
        if face.link not in USBMON_LINKS:
            return
        if number not in self.ways:
            self.ways[number] = Quick(face.meter, order, number, face.tick_s, face.offset_s)
            self.all.append(self.ways[number])
        self.quick = self.ways[number]


def _slow_block(view: View, position: int, order: str, walked: Walked, faces: _Faces) -> tuple[int, str]:
    """Reads one block of any kind: where the next begins (-1: nowhere), and the byte order from there on."""
    data = view.at(position, 12)
    here = position - view.base
    if data[here:here + 4] == SECTION:
        mark = data[here + 8:here + 12]
        if mark not in (b"\x4d\x3c\x2b\x1a", b"\x1a\x2b\x3c\x4d"):
            walked.ended = "a section of it has no byte order; what follows is not read"
            return -1, order
        order = "<" if mark == b"\x4d\x3c\x2b\x1a" else ">"
        faces.begin_section()
    kind, size = struct.unpack_from(order + "2I", data, here)
    if size < 12 or size % 4 or size > MOST_BLOCK:
        walked.ended = f"a block after packet {walked.packets} has an impossible length; what follows is not read"
        return -1, order
    shown = min(size, MOST_HEADER, view.size - position)
    body = bytes(view.at(position, shown)[position - view.base:position - view.base + shown])
    if position + size > view.size:
        walked.ended = "it is cut off within its last block"
        if kind == 6 and len(body) >= WHOLE_HEADER:
            _packet(body, size, order, walked, faces)
        return -1, order
    if kind == 1:
        _interface(body, order, walked, faces)
    elif kind == 6:
        _packet(body, size, order, walked, faces)
    elif kind == 5:
        _statistics(body[20:], order, walked)
    elif kind == 3:
        walked.packets += 1
        walked.unread += 1
    return position + size, order


def _options(body: bytes, order: str) -> dict[int, bytes]:
    found: dict[int, bytes] = {}
    at = 0
    while at + 4 <= len(body) and len(found) < 64:
        code, length = struct.unpack_from(order + "2H", body, at)
        if code == 0:
            break
        found[code] = body[at + 4:at + 4 + length]
        at += 4 + (length + 3) // 4 * 4
    return found


def _interface(body: bytes, order: str, walked: Walked, faces: _Faces) -> None:
    if len(body) < 20 or len(walked.faces) >= MOST_INTERFACES:
        faces.numbers.append(0)
        return
    options = _options(body[16:-4], order)
    tick = options.get(9, b"\x06")[:1] or b"\x06"
    power = tick[0] & 0x7F
    tick_s = 2.0 ** -power if tick[0] & 0x80 else 10.0 ** -power
    shift = options.get(14, b"")
    offset = float(struct.unpack(order + "q", shift)[0]) if len(shift) == 8 else 0.0
    link = struct.unpack_from(order + "H", body, 8)[0]
    meter = walked.meters.setdefault((len(faces.numbers), link), Meter("utc", walked.kept))
    faces.numbers.append(len(walked.faces))
    walked.faces.append(CaptureFace(link, tick_s, offset, meter))


def _packet(body: bytes, size: int, order: str, walked: Walked, faces: _Faces) -> None:
    walked.packets += 1
    if len(body) < 32:
        walked.unread += 1
        return
    which, high, low, captured, original = struct.unpack_from(order + "5I", body, 8)
    if which >= len(faces.numbers) or captured + 32 > size:
        walked.unread += 1
        return
    walked.cut += captured < original
    face = walked.faces[faces.numbers[which]]
    faces.use(which, order, face)
    at = ((high << 32) * face.tick_s + face.offset_s) + low * face.tick_s
    if face.link not in HEADERS or not slow_packet(face, order, body[28:28 + captured], at):
        walked.unread += 1


def _statistics(body: bytes, order: str, walked: Walked) -> None:
    lost = _options(body[:-4], order).get(5, b"")
    if len(lost) == 8:
        walked.dropped += struct.unpack(order + "Q", lost)[0]
