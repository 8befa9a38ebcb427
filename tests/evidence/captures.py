"""Captures made byte by byte from the published layouts: usbmon's headers, the other system's, pcap and pcapng."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

USBMON = "QBBBBHBBqiiII8siiII"
KINDS = {"iso": 0, "interrupt": 1, "control": 2, "bulk": 3}


@dataclass(frozen=True)
class Packet:
    """One event of a transfer. `length` is what was asked (S) or done (C); `data` what was captured."""

    at_us: int
    event: str
    ident: int = 1
    kind: str = "bulk"
    endpoint: int = 0x81
    device: int = 5
    bus: int = 1
    status: int = 0
    length: int = 0
    data: bytes = b""
    face: int = 0
    iso: tuple[tuple[int, int, int], ...] = ()

    def usbmon(self, order: str, link: int) -> bytes:
        """The packet as link type 189 or 220 has it."""
        descriptors = b"".join(struct.pack(order + "iIII", *each, 0) for each in self.iso)
        seconds, micros = divmod(self.at_us, 1_000_000)
        head = struct.pack(
            order + USBMON,
            self.ident,
            ord(self.event),
            KINDS[self.kind],
            self.endpoint,
            self.device,
            self.bus,
            ord("-"),
            0 if self.data else ord("<"),
            seconds,
            micros,
            self.status,
            self.length,
            len(self.data) + len(descriptors),
            b"\0" * 8,
            0,
            0,
            0,
            len(self.iso),
        )
        return (head[:48] if link == 189 else head + descriptors) + self.data

    def windows(self) -> bytes:
        """The packet as link type 249 has it. A submission to the device carries its data, a completion from it."""
        done = self.event == "C"
        data = self.data
        extra = b"\x03" if self.kind == "control" and done else b"\x00" if self.kind == "control" else b""
        return (
            struct.pack(
                "<HQIHBHHBBI",
                27 + len(extra),
                self.ident,
                self.status & 0xFFFFFFFF,
                9,
                int(done),
                self.bus,
                self.device,
                self.endpoint,
                KINDS[self.kind],
                len(data),
            )
            + extra
            + data
        )


def body(packet: Packet, order: str, link: int) -> bytes:
    """A packet's bytes by link type."""
    return packet.windows() if link == 249 else packet.usbmon(order, link)


def pcap(
    packets: Iterable[Packet], link: int = 220, order: str = "<", nano: bool = False, snap: int = 1 << 18
) -> bytes:
    """A classic capture."""
    made = struct.pack(order + "IHHiIII", 0xA1B23C4D if nano else 0xA1B2C3D4, 2, 4, 0, 0, snap, link)
    for packet in packets:
        data = body(packet, order, link)
        seconds, micros = divmod(packet.at_us, 1_000_000)
        kept = data[:snap]
        made += struct.pack(order + "IIII", seconds, micros * (1000 if nano else 1), len(kept), len(data)) + kept
    return made


def block(order: str, kind: int, content: bytes) -> bytes:
    """A block of pcapng."""
    content += b"\0" * (-len(content) % 4)
    size = 12 + len(content)
    return struct.pack(order + "II", kind, size) + content + struct.pack(order + "I", size)


def option(order: str, code: int, value: bytes) -> bytes:
    return struct.pack(order + "HH", code, len(value)) + value + b"\0" * (-len(value) % 4)


def section(order: str = "<") -> bytes:
    return block(order, 0x0A0D0D0A, struct.pack(order + "IHHq", 0x1A2B3C4D, 1, 0, -1))


def interface(order: str = "<", link: int = 220, resolution: int | None = 6, offset: int | None = None) -> bytes:
    options = b""
    if resolution is not None:
        options += option(order, 9, bytes([resolution]))
    if offset is not None:
        options += option(order, 14, struct.pack(order + "q", offset))
    return block(order, 1, struct.pack(order + "HHI", link, 0, 0) + options + option(order, 0, b""))


def enhanced(packet: Packet, order: str = "<", link: int = 220, ticks_per_s: float = 1e6, snap: int = 1 << 18) -> bytes:
    data = body(packet, order, link)
    ticks = round(packet.at_us * ticks_per_s / 1e6)
    kept = data[:snap]
    return block(
        order,
        6,
        struct.pack(order + "IIIII", packet.face, ticks >> 32, ticks & 0xFFFFFFFF, len(kept), len(data)) + kept,
    )


def pcapng(packets: Sequence[Packet], order: str = "<", link: int = 220, faces: int = 1, resolution: int = 6) -> bytes:
    ticks = 2.0 ** (resolution & 127) if resolution & 128 else 10.0**resolution
    return (
        section(order)
        + interface(order, link, resolution) * faces
        + b"".join(enhanced(p, order, link, ticks) for p in packets)
    )


def statistics(order: str, received: int, dropped: int) -> bytes:
    return block(
        order,
        5,
        struct.pack(order + "III", 0, 0, 0)
        + option(order, 4, struct.pack(order + "Q", received))
        + option(order, 5, struct.pack(order + "Q", dropped))
        + option(order, 0, b""),
    )


def reads(
    start_us: int, sizes: Sequence[int], ask: int, ident: int = 100, spacing_us: int = 300, **more: object
) -> list[Packet]:
    """Reads one after the other, each asking `ask` bytes and getting a size."""
    found = []
    for n, size in enumerate(sizes):
        at = start_us + n * spacing_us
        found.append(Packet(at, "S", ident + n, length=ask, status=-115, **more))  # type: ignore[arg-type]
        found.append(Packet(at + spacing_us - 1, "C", ident + n, length=size, data=b"\0" * min(size, 64), **more))  # type: ignore[arg-type]
    return found
