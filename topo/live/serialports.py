"""Serial ports and the USB devices they belong to.

On Linux from links in sysfs alone: pyserial's own listing there reads attributes with no time limit and lists /dev.
Elsewhere from pyserial, whose listings ask the system's registry and open no port.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from topo.live.attributes import Attributes
from topo.live.words import digits
from topo.model.sighting import SerialPort, Sighting

TTYS = "class/tty"
ON_USB = re.compile(r"(?:^|/)([0-9]+-[0-9]+(?:\.[0-9]+)*):([0-9]+)\.([0-9]+)(?=/|$)")
BUILT_IN = re.compile(r"(?:^|/)(?:pnp[0-9]|amba|[0-9a-f]+\.serial|[0-9a-f]{4}:[0-9a-f]{2}:[0-9a-f]{2}\.[0-7])")


def sysfs_ports(attributes: Attributes) -> tuple[SerialPort, ...]:
    """Serial ports in the order of their names (ttyUSB2 before ttyUSB10)."""
    try:
        names = attributes.names(TTYS)
    except OSError:
        return ()
    found = []
    for name in sorted(names, key=_natural):
        if attributes.link(f"{TTYS}/{name}/device") is None:
            continue
        folder = attributes.real(f"{TTYS}/{name}/device")
        on_usb = list(ON_USB.finditer(folder))
        if not on_usb and not BUILT_IN.search(folder):
            continue
        found.append(_port(attributes, name, on_usb[-1] if on_usb else None))
    return tuple(found)


def _port(attributes: Attributes, name: str, place: re.Match[str] | None) -> SerialPort:
    timer = f"{TTYS}/{name}/device/latency_timer"
    return SerialPort(
        name=f"/dev/{name}",
        device=place[1] if place else None,
        interface=int(place[3]) if place else None,
        driver=attributes.link(f"{TTYS}/{name}/device/driver"),
        latency_timer_ms=digits(attributes.read([timer]).get(timer)) if place else None,
    )


def _natural(name: str) -> list[tuple[int, str]]:
    return [(int(part), "") if part.isdigit() else (-1, part) for part in re.split(r"([0-9]+)", name) if part]


def pyserial_ports(sightings: Sequence[Sighting]) -> tuple[tuple[SerialPort, ...], tuple[str, ...]]:
    """Serial ports as pyserial lists them, joined to the sightings by place or ids; and what went wrong, in words."""
    try:
        from serial.tools import list_ports

        listed: list[Any] = sorted(list_ports.comports(), key=lambda port: _natural(str(port.device)))
    except Exception as error:  # each system has a listing of its own, which can fail in its own ways
        return (), (f"serial ports could not be listed: {type(error).__name__}",)
    return tuple(join(port, sightings) for port in listed), ()


def join(port: Any, sightings: Sequence[Sighting]) -> SerialPort:
    """One port as pyserial describes it: its place where that names a device with its ids, else its ids where unique.

    Places of pyserial look like "1-5.2:x.0" or "20-5.2"; bus numbers of pyserial and libusb differ on some systems.
    """
    match = re.match(r"([0-9]+)-([0-9.]+)(?::[^.]*\.([0-9]+))?", port.location or "")
    device = None
    if port.vid is not None and port.pid is not None:
        ids = (f"{port.vid:04x}", f"{port.pid:04x}")
        same = [s for s in sightings if (s.vendor_id, s.product_id) == ids]
        chain = match[2].rstrip(".") if match else ""
        placed = [s for s in same if ".".join(map(str, s.ports)) == chain]
        exact = [s for s in placed if match and str(s.bus) == match[1]]
        device = next((group[0].id for group in (exact, placed, same) if len(group) == 1), None)
    return SerialPort(str(port.device), device, int(match[3]) if match and match[3] else None)
