"""The cheap look at sysfs: what a night watch reads every two seconds, four short reads a device."""

from __future__ import annotations

from pathlib import Path

from topo.errors import ScanError, reason_of
from topo.live.attributes import Attributes
from topo.live.board import low_volts
from topo.live.places import DEVICE, DEVICES, hub_of, place_of
from topo.live.words import digits, number
from topo.model.plain import plain
from topo.model.sighting import Beat, Pulse

MOST_PORTS = 255
WANTED = ("devnum", "speed", "power/connected_duration", "urbnum")


def pulse(root: str = "/sys", timeout_s: float = 1.0) -> Pulse:
    """Names, device numbers, speeds, connected times, transfers and over-current counts only.

    Raises ScanError as `scan` does.
    """
    attributes = Attributes(root, timeout_s)
    try:
        listed = list_names(attributes)
        devices = [name for name in listed if DEVICE.fullmatch(name)]
        wanted = [f"{DEVICES}/{n}/{a}" for n in devices for a in WANTED]
        ports = [
            (hub, port, f"{DEVICES}/{name}/{hub}-port{port}/over_current_count")
            for name in listed
            if (hub := hub_of(name)) is not None
            for port in port_numbers(attributes, f"{DEVICES}/{name}", hub)
        ]
        told = attributes.read([*wanted, *(path for _, _, path in ports)])
        sagged = low_volts(attributes)
    finally:
        attributes.close()

    def figure(name: str, attribute: str) -> bytes | None:
        return told.get(f"{DEVICES}/{name}/{attribute}")

    return Pulse(
        beats=tuple(
            (name, Beat(devnum, number(figure(name, "speed")), digits(figure(name, "power/connected_duration")),
                        digits(figure(name, "urbnum"))))
            for name in sorted(devices, key=place_of)
            if (devnum := digits(figure(name, "devnum"))) is not None
        ),
        over_current=tuple(
            ((hub, port), count) for hub, port, path in ports if (count := digits(told.get(path))) is not None
        ),
        low_volts=sagged,
    )


def list_names(attributes: Attributes) -> list[str]:
    """Names of all devices and interfaces. Raises ScanError where sysfs is not there or may not be listed."""
    if not Path(attributes.root).is_dir():
        raise ScanError(f"there is no {plain(attributes.root)}: this system keeps no sysfs to scan")
    try:
        return attributes.names(DEVICES)
    except OSError as error:
        raise ScanError(f"{plain(attributes.root)}/{DEVICES} cannot be listed: {reason_of(error)}") from error


def port_numbers(attributes: Attributes, folder: str, hub: str) -> list[int]:
    """Numbers of the port folders in a hub's interface."""
    prefix = f"{hub}-port"
    try:
        names = attributes.names(folder)
    except OSError:
        return []
    found = (name.removeprefix(prefix) for name in names if name.startswith(prefix))
    return sorted(int(tail) for tail in found if tail.isascii() and tail.isdigit() and len(tail) < 4)[:MOST_PORTS]
