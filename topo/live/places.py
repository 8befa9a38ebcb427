"""Names of devices, interfaces and ports as the Linux kernel makes them: 1-5.2, usb1, 1-5.2:1.0, 1-5.2-port3."""

from __future__ import annotations

import re

DEVICES = "bus/usb/devices"
"""The folder of sysfs that lists them all."""

DEVICE = re.compile(r"(?:usb([0-9]{1,5})|([0-9]{1,5})-([0-9]{1,3}(?:\.[0-9]{1,3}){0,9}))")
INTERFACE = re.compile(r"([0-9]{1,5})-([0-9]{1,3}(?:\.[0-9]{1,3}){0,9}):([0-9]{1,3})\.([0-9]{1,3})")
PORT = re.compile(r"(.{1,80})-port([0-9]{1,3})")
PCI = re.compile(r"[0-9a-f]{4,8}:[0-9a-f]{2}:[0-9a-f]{2}\.[0-7]")
"""The address of a PCI function, as controllers are called."""


def place_of(device: str) -> tuple[int, tuple[int, ...]]:
    """Bus and port chain of a device's name; its natural order too. Raises ValueError for any other name."""
    match = DEVICE.fullmatch(device)
    if match is None:
        raise ValueError(f"no device is called {device!r}")
    if match[1]:
        return int(match[1]), ()
    return int(match[2]), tuple(map(int, match[3].split(".")))


def owner_of(interface: str) -> str:
    """The device an interface belongs to: 1-5:1.0 → 1-5, 1-0:1.0 → usb1."""
    device = interface.split(":")[0]
    bus, _, chain = device.partition("-")
    return f"usb{bus}" if chain == "0" else device


def hub_of(interface: str) -> str | None:
    """The device of an interface that may be a hub's: a hub has one, number 0 (USB 2.0 11.23.1). None for others."""
    match = INTERFACE.fullmatch(interface)
    return owner_of(interface) if match and match[4] == "0" else None


def port_of(name: str | None) -> tuple[str, int] | None:
    """Hub and number of a port's name, or None where it is none."""
    match = PORT.fullmatch(name or "")
    return (match[1], int(match[2])) if match and DEVICE.fullmatch(match[1]) else None
