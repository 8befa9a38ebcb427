"""What kind of thing a sighting is, as far as its classes, driver and serial ports tell. Class codes: USB-IF, Defined
Class Codes; subclasses of communication interfaces: CDC 1.2 table 4.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.sighting import Endpoint, Scan, Sighting
    from topo.model.speed import SpeedWord

How = Literal["bulk", "iso", "serial", "hid", "storage", "network", "audio"]
SERIAL_DRIVERS = frozenset({"ftdi_sio", "cp210x", "ch341", "pl2303", "cdc_acm", "usbserial", "ark3116", "mct_u232"})
NETWORK_DRIVERS = frozenset({"cdc_ether", "cdc_ncm", "cdc_mbim", "rndis_host", "r8152", "asix", "ax88179_178a"})


@frozen
class Kind:
    """A word to name it by, how it moves data (None: not known), and whether it has a 2.4 GHz radio for certain."""

    word: str
    interface: How | None = None
    radio: bool = False


def kind_of(seen: Sighting, scan: Scan) -> Kind:
    """The kind of a device that is no hub."""
    codes = {(i.usb_class, i.subclass, i.protocol) for i in seen.interfaces}
    if seen.usb_class not in (None, 0, 0xEF, 0xFF):
        codes.add((seen.usb_class or 0, seen.subclass or 0, seen.protocol or 0))
    classes = {code[0] for code in codes}
    drivers = {i.driver for i in seen.interfaces}
    if 0x08 in classes:
        return Kind("storage", "storage")
    if 0x0E in classes:
        return Kind("camera", "iso" if any(e.kind == "iso" for e in endpoints(seen)) else "bulk")
    if drivers & NETWORK_DRIVERS or codes & {(0xE0, 0x01, 0x03), (0x02, 0x02, 0xFF)}:
        return Kind("network", "network")
    if any(c == 0x02 and s in (0x06, 0x0D, 0x0E) for c, s, _ in codes):
        return Kind("network", "network")
    if (0xE0, 0x01, 0x01) in codes:
        return Kind("radio", None, radio=True)
    if any(p.device == seen.id for p in scan.serial_ports) or drivers & SERIAL_DRIVERS:
        return Kind("serial", "serial")
    if any(c == 0x02 and s == 0x02 and p != 0xFF for c, s, p in codes):
        return Kind("serial", "serial")
    if 0x01 in classes:
        return Kind("audio", "audio")
    if 0x06 in classes:
        return Kind("camera", "bulk")
    if 0x03 in classes:
        return Kind("hid", "hid")
    return Kind("device", _carries(seen) if 0xFF in classes else None)


def _carries(seen: Sighting) -> Literal["iso", "bulk"] | None:
    kinds = {end.kind for end in endpoints(seen)}
    return "iso" if "iso" in kinds else "bulk" if "bulk" in kinds else None


def endpoints(seen: Sighting) -> tuple[Endpoint, ...]:
    """Every endpoint of every setting."""
    return tuple(e for i in seen.interfaces for e in i.endpoints)


def in_use(seen: Sighting) -> tuple[Endpoint, ...]:
    """Endpoints of the settings in use; of the first settings where that is not told. Each address once."""
    kept: dict[int, Endpoint] = {}
    for interface in seen.interfaces:
        if interface.active or (interface.active is None and interface.setting == 0):
            kept.update({e.address: e for e in interface.endpoints if e.address not in kept})
    return tuple(kept.values())


def translators(hub: Sighting) -> Literal["one", "per-port"] | None:
    """Transaction translators of a hub on a 480 Mb/s link: one for each port only where that setting is in use.

    USB 2.0 11.23.1: interface protocol 2 is the setting with one for each port. None where it is not told.
    """
    if hub.speed_mbit != 480 or not hub.is_hub:
        return None
    if hub.protocol == 1:
        return "one"
    active = [i for i in hub.interfaces if i.active]
    if hub.protocol == 2 and active:
        return "per-port" if any(i.setting == 1 or i.protocol == 2 for i in active) else "one"
    return None


def best_mbit(seen: Iterable[Sighting]) -> float | None:
    """The highest rate that any of these run at, at least, or say that they could run at."""
    rates = [rate for s in seen for rate in (s.least_mbit, *s.could_mbit) if rate is not None]
    return max(rates, default=None)


_SPEEDS: tuple[tuple[int, SpeedWord], ...] = (
    (10_000, "super-plus"), (5_000, "super"), (480, "high"), (12, "full"), (0, "low"),
)


def speed_word(mbit: float | None) -> SpeedWord | None:
    """The word of a rate in rig files."""
    if mbit is None:
        return None
    return next((word for rate, word in _SPEEDS if mbit >= rate), None)
