"""USB descriptors, from bytes to values. The bytes are untrusted: whatever they hold, this returns what could be read.

Lengths are taken from each descriptor's own bLength and never from wTotalLength, which devices get wrong; every walk
ends because bLength is at least 2. Layouts: USB 2.0 9.6 and USB 3.2 9.6; numbers as in Linux
`include/uapi/linux/usb/ch9.h`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from topo.frozen import frozen, replace
from topo.model.sighting import Endpoint, Interface, TransferKind

DEVICE, CONFIG, INTERFACE, ENDPOINT, BOS, CAPABILITY, COMPANION = 1, 2, 4, 5, 0x0F, 0x10, 0x30
TRANSFER_KINDS: Final[tuple[TransferKind, ...]] = ("control", "iso", "bulk", "interrupt")
MOST_DESCRIPTOR_BYTES = 65_536 * 4
"""More than eight full configurations; what comes after is not looked at."""


@frozen
class Config:
    """One configuration: `value` selects it, `attributes` bit 6 says self-powered."""

    value: int
    attributes: int
    interfaces: tuple[Interface, ...] = ()


@frozen
class Described:
    """What device and configuration descriptors say. None where the bytes did not reach that far."""

    usb_version: float | None = None
    usb_class: int | None = None
    subclass: int | None = None
    protocol: int | None = None
    vendor_id: str | None = None
    product_id: str | None = None
    configs: tuple[Config, ...] = ()
    problems: tuple[str, ...] = ()


@frozen
class Abilities:
    """What a BOS descriptor says: the rates the device could run at in Mb/s, ascending, and its container id."""

    speeds_mbit: tuple[float, ...] = ()
    container_id: str | None = None
    problems: tuple[str, ...] = ()


def walk(data: bytes, problems: list[str]) -> Iterator[tuple[int, bytes]]:
    """Each descriptor as (type, its bytes). Stops at a length that cannot be, and says so."""
    at = 0
    end = min(len(data), MOST_DESCRIPTOR_BYTES)
    if len(data) > MOST_DESCRIPTOR_BYTES:
        problems.append(f"descriptors: {len(data)} bytes, only the first {MOST_DESCRIPTOR_BYTES} were read")
    while at < end:
        length = data[at]
        if length < 2:
            problems.append(f"descriptors: a length of {length} at byte {at}; the rest was not read")
            return
        if at + length > end:
            problems.append(f"descriptors: cut off at byte {at}: {length} bytes announced, {end - at} there")
            return
        yield data[at + 1], data[at : at + length]
        at += length


def read_descriptors(data: bytes, speed_mbit: float | None) -> Described:
    """The device descriptor with its configurations, as sysfs keeps them. Never raises.

    `speed_mbit` is the negotiated rate: the unit of an endpoint's interval depends on it (USB 2.0 table 9-13).
    """
    problems: list[str] = []
    told = Described()
    configs: list[_Builder] = []
    for kind, body in walk(data, problems):
        if kind == DEVICE and len(body) >= 18:
            told = _device(body)
        elif kind == CONFIG and len(body) >= 9:
            configs.append(_Builder(body))
        elif kind in (INTERFACE, ENDPOINT, COMPANION):
            if not configs:
                problems.append(f"descriptors: type {kind:#04x} before any configuration")
            elif not configs[-1].add(kind, body, speed_mbit):
                problems.append(f"descriptors: a descriptor of type {kind:#04x} is too short or stands in no interface")
        elif kind in (DEVICE, CONFIG):
            problems.append(f"descriptors: a descriptor of type {kind:#04x} is too short")
    if told.usb_version is None:
        problems.append("descriptors: there is no device descriptor")
    return replace(told, configs=tuple(c.config() for c in configs), problems=_few(problems))


def _device(body: bytes) -> Described:
    return Described(
        usb_version=bcd(_u16(body, 2)),
        usb_class=body[4],
        subclass=body[5],
        protocol=body[6],
        vendor_id=f"{_u16(body, 8):04x}",
        product_id=f"{_u16(body, 10):04x}",
    )


class _Builder:
    """Collects the interfaces of one configuration in the order of the bytes."""

    def __init__(self, body: bytes) -> None:
        self._head = Config(value=body[5], attributes=body[7])
        self._interfaces: list[tuple[Interface, list[Endpoint]]] = []

    def add(self, kind: int, body: bytes, speed: float | None) -> bool:
        if kind == INTERFACE:
            if len(body) < 9:
                return False
            self._interfaces.append((Interface(body[2], body[3], None, body[5], body[6], body[7]), []))
            return True
        if not self._interfaces:
            return False
        endpoints = self._interfaces[-1][1]
        if kind == ENDPOINT:
            if len(body) < 7:
                return False
            endpoints.append(endpoint(body[2], body[3], _u16(body, 4), body[6], speed))
            return True
        if len(body) < 6 or not endpoints:
            return False
        endpoints[-1] = _with_companion(endpoints[-1], body)
        return True

    def config(self) -> Config:
        return replace(self._head, interfaces=tuple(replace(i, endpoints=tuple(ends)) for i, ends in self._interfaces))


def endpoint(address: int, attributes: int, raw_packet: int, raw_interval: int, speed: float | None) -> Endpoint:
    """An endpoint from its descriptor's fields (USB 2.0 9.6.6): packet size with its multiplier, interval in µs."""
    kind = TRANSFER_KINDS[attributes & 3]
    packet = raw_packet & 0x7FF
    more = (raw_packet >> 11) & 3 if speed is not None and speed >= 480 and kind in ("iso", "interrupt") else 0
    return Endpoint(address, kind, packet, packet * (1 + min(more, 2)), interval_us(kind, raw_interval, speed))


def interval_us(kind: TransferKind, raw: int, speed: float | None) -> float | None:
    """Service interval in µs (USB 2.0 table 9-13): 2^(n-1) microframes at 480 Mb/s and up, n ms or 2^(n-1) ms below."""
    if kind in ("control", "bulk") or speed is None:
        return None
    steps = 2.0 ** (min(max(raw, 1), 16) - 1)
    if speed >= 480:
        return 125.0 * steps
    return 1000.0 * steps if kind == "iso" else 1000.0 * max(raw, 1)


def _with_companion(plain: Endpoint, body: bytes) -> Endpoint:
    """USB 3.2 9.6.7: wBytesPerInterval for periodic endpoints, the burst for the others."""
    if plain.kind in ("iso", "interrupt"):
        return replace(plain, interval_bytes=_u16(body, 4) or plain.interval_bytes)
    return replace(plain, interval_bytes=plain.max_packet * (1 + min(body[2], 15)))


def read_bos(data: bytes) -> Abilities:
    """What a device could do, from its BOS descriptor (USB 3.2 9.6.2). Never raises."""
    problems: list[str] = []
    speeds: set[float] = set()
    container: str | None = None
    for kind, body in walk(data, problems):
        if kind != CAPABILITY or len(body) < 3:
            continue
        if body[2] == 3 and len(body) >= 6:
            word = _u16(body, 4)
            speeds |= {rate for bit, rate in enumerate((1.5, 12.0, 480.0, 5000.0)) if word >> bit & 1}
        elif body[2] == 0x0A and len(body) >= 12:
            speeds |= _sublinks(body)
        elif body[2] == 4 and len(body) >= 20:
            container = _guid(body[4:20])
    return Abilities(tuple(sorted(speeds)), container, _few(problems))


def _sublinks(body: bytes) -> set[float]:
    """USB 3.1 9.6.2.5: sublink speed attributes, four bytes each: exponent in bits 5:4, mantissa in bits 31:16."""
    speeds: set[float] = set()
    for at in range(12, min(len(body) - 3, 12 + 4 * ((body[4] & 0x1F) + 1)), 4):
        word = int.from_bytes(body[at : at + 4], "little")
        rate = (word >> 16) * 1000.0 ** (word >> 4 & 3) / 1e6
        if 5000 <= rate <= 20_000:
            speeds.add(rate)
    return speeds


def _guid(raw: bytes) -> str | None:
    """A container id as text, or None where the device left it all zero (then it says nothing)."""
    if not any(raw):
        return None
    first, second, third = (int.from_bytes(raw[a:b], "little") for a, b in ((0, 4), (4, 6), (6, 8)))
    return f"{first:08x}-{second:04x}-{third:04x}-{raw[8:10].hex()}-{raw[10:16].hex()}"


def bcd(raw: int) -> float:
    """A release number in binary-coded decimal: 0x0210 is 2.1. Digits above 9 count as they stand."""
    return round((raw >> 8) + (raw >> 4 & 15) / 10 + (raw & 15) / 100, 2)


def _u16(body: bytes, at: int) -> int:
    return body[at] | body[at + 1] << 8


def _few(problems: list[str], most: int = 5) -> tuple[str, ...]:
    kept = problems[:most]
    if len(problems) > most:
        kept.append(f"descriptors: {len(problems) - most} more problems like these")
    return tuple(kept)
