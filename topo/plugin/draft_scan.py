"""A profile begun from one device of a saved scan: what the scan measured, each figure with how it was told.

Texts of the device (maker, product, serial number) are not taken over: a profile is of a kind of device, and what a
device says of itself is untrusted.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Literal

from topo.errors import CommandError
from topo.model.plain import plain
from topo.model.speed import Speed
from topo.plugin.draft import Draft, Stated

if TYPE_CHECKING:
    from topo.model.sighting import Endpoint, Scan, Sighting

StatedFacts = Iterator[tuple[str, Stated]]

_CLASSES = {0x01: "audio", 0x03: "hid", 0x08: "storage"}
_COMMUNICATION, _VIDEO, _WIRELESS, _VENDOR = 0x02, 0x0E, 0xE0, 0xFF
"""Class codes of interfaces (USB-IF, Defined Class Codes)."""

_MODEM = 0x02
"""Subclass of a communication interface that is a serial line: abstract control (CDC 1.2, table 4)."""

_NETWORK = (0x06, 0x0D, 0x0E)
"""Subclasses that carry network frames: Ethernet control, NCM, MBIM (CDC 1.2, table 4)."""


def draft_of(file: str, device: str) -> Draft:
    """The draft for one device or hub of a saved scan. Raises ScanError for the file, CommandError for the device."""
    from topo.live.recording import replay

    scan = replay(file)
    seen = scan.sighting(device)
    if seen is None:
        ids = [sighting.id for sighting in scan.sightings if not sighting.is_root]
        raise CommandError(f"the scan has no device '{plain(device)}'; it has {', '.join(map(plain, ids)) or 'none'}")
    if seen.is_root:
        raise CommandError(f"{plain(device)} is the computer's own hub; a profile of a computer is written by hand")
    day = f" of {scan.when[:10]}" if scan.when else ""
    facts = dict(_hub(seen) if seen.is_hub else _device(scan, seen))
    serial = {} if seen.is_hub else dict(_serial(scan, seen))
    return Draft("", "hub" if seen.is_hub else "device", source=f"measured: a scan{day}", facts=facts, serial=serial)


def _speed(seen: Sighting) -> StatedFacts:
    if seen.could_mbit:
        yield "speed", Stated(Speed.from_mbit(max(seen.could_mbit)).word, "measured: the device's BOS descriptor")
    elif seen.speed_mbit is not None:
        yield "speed", Stated(Speed.from_mbit(seen.speed_mbit).word,
                              "measured: the speed it ran at; where a cable or hub held it back it can do more")


def _current(seen: Sighting) -> StatedFacts:
    if seen.max_power_ma is not None:
        yield "bus_ma", Stated(str(seen.max_power_ma), "measured: what its configuration descriptor claims at most")


def _hub(seen: Sighting) -> StatedFacts:
    for key, stated in _speed(seen):
        yield key, Stated("full" if stated.value == "low" else stated.value, stated.source)
    if seen.max_child:
        yield "ports", Stated(str(seen.max_child), "measured: the hub descriptor; some may have no socket")
    if seen.self_powered is not None:
        yield "powered", Stated("true" if seen.self_powered else "false",
                                "measured: its configuration descriptor, which some hubs fill in wrongly")
    if seen.protocol in (1, 2) and (seen.speed_mbit or 0) >= Speed.HIGH.mbit:
        yield "translators", Stated("one" if seen.protocol == 1 else "per-port", "measured: its device descriptor")
    yield from _current(seen)


def _device(scan: Scan, seen: Sighting) -> StatedFacts:
    yield from _speed(seen)
    interface = _interface(scan, seen)
    if interface is not None:
        yield "interface", Stated(interface, "measured: its interface descriptors")
    endpoints = [end for each in seen.interfaces if each.active is not False for end in each.endpoints]
    beat = next((end for end in endpoints if end.kind == "interrupt" and end.address & 0x80 and end.interval_us), None)
    if beat is not None and beat.interval_us is not None:
        told = "measured: its endpoint descriptor"
        yield "interrupt_bytes", Stated(str(beat.interval_bytes), told)
        yield "interrupt_interval_ms", Stated(f"{beat.interval_us / 1000:g}", told)
    streams = [end for each in seen.interfaces for end in each.endpoints if end.kind == "iso"]
    iso = max(map(_bytes_per_ms, streams), default=0.0)
    if iso >= 1:
        yield "iso_bytes_per_ms", Stated(f"{iso:g}", "measured: the largest setting of its streaming interface")
    if endpoints:
        yield "endpoints", Stated(str(len(endpoints)), "measured: its interface descriptors")
    if seen.serial or (seen.product and scan.scanner == "sysfs"):
        yield "has_serial_number", Stated("true" if seen.serial else "false", "measured: its device descriptor")
    if any(each.usb_class == _WIRELESS and each.subclass == 1 for each in seen.interfaces):
        yield "radio_2g4", Stated("true", "measured: it has a wireless interface")
    yield from _current(seen)


def _interface(scan: Scan, seen: Sighting) -> str | None:
    """How a device moves its data, where its descriptors tell."""
    if any(port.device == seen.id for port in scan.serial_ports):
        return "serial"
    for each in seen.interfaces:
        if each.usb_class == _COMMUNICATION and each.subclass in (_MODEM, *_NETWORK):
            return "serial" if each.subclass == _MODEM else "network"
        if each.usb_class in _CLASSES:
            return _CLASSES[each.usb_class]
        if each.usb_class in (_VIDEO, _VENDOR) and (kind := _carries(each.endpoints)):
            return kind
    return None


def _carries(endpoints: tuple[Endpoint, ...]) -> Literal["iso", "bulk"] | None:
    kinds = {end.kind for end in endpoints}
    return "iso" if "iso" in kinds else "bulk" if "bulk" in kinds else None


def _bytes_per_ms(end: Endpoint) -> float:
    return end.interval_bytes / (end.interval_us / 1000) if end.interval_us else 0.0


def _serial(scan: Scan, seen: Sighting) -> StatedFacts:
    for port in scan.serial_ports:
        if port.device == seen.id and port.latency_timer_ms is not None:
            yield "latency_timer_ms", Stated(str(port.latency_timer_ms), "measured: the driver's setting")
            return
