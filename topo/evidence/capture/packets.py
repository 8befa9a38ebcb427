"""The header every USB packet of a capture starts with: link types 189 and 220 (Linux) and 249 (Windows).

Sources: the kernel's Documentation/usb/usbmon.rst and drivers/usb/mon/mon_bin.c; the registry of link types.
"""

from __future__ import annotations

import struct

from topo.evidence.capture.meter import Meter
from topo.frozen import frozen

USBMON_LINKS = (189, 220)
WINDOWS = 249
HEADERS = {189: 48, 220: 64, WINDOWS: 27}
"""Bytes of the header by link type; 249 has at least so many."""

USBMON = "Q4BH14xiI"
"""Id, event, kind, endpoint, device, bus; flags and stamps skipped; status, length: the first 36 bytes."""
_ISO = struct.Struct("<iIII")
_WINDOWS = struct.Struct("<HQIHBHHBBI")
MOST_ISO = 128


@frozen
class CaptureFace:
    """An interface of a capture: link type, seconds a tick and seconds to add, and its own meter."""

    link: int
    tick_s: float
    offset_s: float
    meter: Meter


def slow_packet(face: CaptureFace, order: str, data: bytes, at: float) -> bool:
    """Adds one packet of any kind; `data` is what was captured of it. False where it cannot be read."""
    if face.link == WINDOWS:
        return _windows(face.meter, data, at)
    if face.link not in USBMON_LINKS or len(data) < HEADERS[face.link]:
        return False
    ident, event, kind, endpoint, device, bus, status, length = struct.unpack_from(order + USBMON, data)
    if event not in (83, 67, 69):
        return False
    if kind == 2:
        _control(face.meter, order, data, HEADERS[face.link], event, bus, device)
    elif kind == 0 and face.link == 220 and event == 67:
        length = _iso_length(order, data, length, face.meter)
        status = _iso_status(order, data, status)
    face.meter.packet(at, ident, event, kind, endpoint, device, bus, status, length)
    return True


def _iso_length(order: str, data: bytes, length: int, meter: Meter) -> int:
    """Bytes of the isochronous packets, since the header's length is that of the whole buffer for some."""
    count = min(struct.unpack_from(order + "I", data, 60)[0], MOST_ISO, (len(data) - 64) // 16)
    if count <= 0:
        return length
    return sum(min(_ISO.unpack_from(data, 64 + 16 * n)[2] if order == "<" else
                   struct.unpack_from(">iIII", data, 64 + 16 * n)[2], 1 << 17) for n in range(count))


def _iso_status(order: str, data: bytes, status: int) -> int:
    """The first packet's error where the header says that all went well, as it does."""
    count = min(struct.unpack_from(order + "I", data, 60)[0], MOST_ISO, (len(data) - 64) // 16)
    for n in range(max(0, count)):
        packet: int = struct.unpack_from(order + "i", data, 64 + 16 * n)[0]
        if packet not in (0, -18):
            return status or packet
    return status


def _control(meter: Meter, order: str, data: bytes, header: int, event: int, bus: int, device: int) -> None:
    """Vendor and product id of a device whose descriptor was asked for: 18 bytes, length and type first."""
    if event != 67 or len(data) < header + 18 or data[header] != 18 or data[header + 1] != 1:
        return
    vendor, product = struct.unpack_from("<HH", data, header + 8)
    if len(meter.names) < 1000:
        meter.names[(bus << 8) | device] = (f"{vendor:04x}", f"{product:04x}")


def _windows(meter: Meter, data: bytes, at: float) -> bool:
    if len(data) < 27:
        return False
    head, ident, status, _, info, bus, device, endpoint, kind, length = _WINDOWS.unpack_from(data)
    if head < 27 or kind > 3 or bus > 0xFFFF:
        return False
    done = bool(info & 1)
    if kind == 2 and head >= 28 and len(data) >= 28:
        length = _setup(meter, data, head, done, length, bus, device)
        if length < 0:
            return True  # a stage of its own; old writers record them apart
    signed = status - (1 << 32) if status & 0x80000000 else status
    moved = length if done == bool(endpoint & 128) or kind == 2 else 0
    if not done:
        meter.packet(at, ident, 83, kind, endpoint, device & 0xFF, bus, 0, moved)
        return True
    begun = meter.open.get(ident)
    if not endpoint & 128 and kind != 2 and begun is not None:
        moved = begun[1]  # what went out was captured with the submission
    asked_unknown = begun is not None and bool(endpoint & 128) and kind != 2
    if asked_unknown and begun is not None:
        meter.open[ident] = (begun[0], moved)  # 249 does not tell what was asked: no read is called short
    meter.packet(at, ident, 67, kind, endpoint, device & 0xFF, bus, signed, moved)
    return True


def _setup(meter: Meter, data: bytes, head: int, done: bool, length: int, bus: int, device: int) -> int:
    stage = data[27]
    if stage in (1, 2):
        return -1
    if done and length >= 18 and len(data) >= head + 18 and data[head] == 18 and data[head + 1] == 1:
        vendor, product = struct.unpack_from("<HH", data, head + 8)
        if len(meter.names) < 1000:
            meter.names[(bus << 8) | (device & 0xFF)] = (f"{vendor:04x}", f"{product:04x}")
    return max(0, length - 8) if not done else length
