"""Serial ports and the USB devices they belong to.

On Linux from links in sysfs alone: pyserial's own listing there reads attributes with no time limit and lists /dev.
Elsewhere from pyserial, whose listings ask the system's registry and open no port.
"""

from __future__ import annotations

import os
import re
import stat
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from topo.frozen import replace
from topo.live.attributes import Attributes
from topo.live.beside import Beside
from topo.live.udevdata import UdevPort, read_port
from topo.live.words import digits, text_of
from topo.model.sighting import SerialPort, Sighting
from topo.wiring.lasting import by_id, by_path, controller_path

TTYS = "class/tty"
ON_USB = re.compile(r"(?:^|/)([0-9]{1,5}-[0-9]{1,3}(?:\.[0-9]{1,3}){0,9}):([0-9]{1,3})\.([0-9]{1,3})(?=/|$)")
BUILT_IN = re.compile(r"(?:^|/)(?:pnp[0-9]|amba|[0-9a-f]+\.serial|[0-9a-f]{4}:[0-9a-f]{2}:[0-9a-f]{2}\.[0-7])")


def sysfs_ports(attributes: Attributes, sightings: Sequence[Sighting] = ()) -> tuple[SerialPort, ...]:
    """Serial ports in the order of their names (ttyUSB2 before ttyUSB10), with the names that last."""
    try:
        names = attributes.names(TTYS)
    except OSError:
        return ()
    beside = Beside(attributes.root)
    groups = group_names(beside.read("etc/group"))
    found = []
    for name in sorted(names, key=_natural):
        if attributes.link(f"{TTYS}/{name}/device") is None:
            continue
        folder = attributes.real(f"{TTYS}/{name}/device")
        on_usb = list(ON_USB.finditer(folder))
        if not on_usb and not BUILT_IN.search(folder):
            continue
        port = _port(attributes, name, on_usb[-1] if on_usb else None)
        if on_usb:
            port = _with_links(attributes, beside, port, folder, on_usb[-1], sightings)
        found.append(_with_rights(beside, port, groups))
    return with_shared(found)


def _port(attributes: Attributes, name: str, place: re.Match[str] | None) -> SerialPort:
    timer, number = (f"{TTYS}/{name}/device/{each}" for each in ("latency_timer", "port_number"))
    told = attributes.read([timer, number]) if place else {}
    return SerialPort(
        name=f"/dev/{name}",
        device=place[1] if place else None,
        interface=int(place[3]) if place else None,
        driver=attributes.link(f"{TTYS}/{name}/device/driver"),
        latency_timer_ms=digits(told.get(timer)),
        number=digits(told.get(number)),
    )


def _with_links(
    attributes: Attributes, beside: Beside, port: SerialPort, folder: str, place: re.Match[str],
    sightings: Sequence[Sighting],
) -> SerialPort:
    """The port with the names udev keeps, or where it keeps none those that its rules would make."""
    dev = f"{TTYS}/{port.name.removeprefix('/dev/')}/dev"
    numbers = text_of(attributes.read([dev]).get(dev)) or ""
    told = beside.read(f"run/udev/data/c{numbers}") if re.fullmatch(r"[0-9]{1,4}:[0-9]{1,7}", numbers) else None
    kept = UdevPort() if told is None else read_port(told)
    if kept.links:
        return replace(port, links=kept.links, spared=kept.spared)
    made = _composed(port, folder, place, next((s for s in sightings if s.id == place[1]), None))
    return replace(port, links=made, composed=bool(made), spared=None if told is None else kept.spared)


def _composed(port: SerialPort, folder: str, place: re.Match[str], seen: Sighting | None) -> tuple[str, ...]:
    interface, number = int(place[3]), port.number
    if number is None and "/ttyUSB" in port.name:
        number = 0
    made = []
    above = folder[: folder.find("/usb")] if "/usb" in folder else ""
    controller = controller_path(above)
    chain = place[1].partition("-")[2]
    if controller is not None:
        made.append(by_path(controller, chain, int(place[2]), interface, number))
    if seen is not None and seen.vendor_id is not None and seen.product_id is not None:
        words = (seen.manufacturer or seen.vendor_id, seen.product or seen.product_id)
        made.append(by_id(*words, seen.serial, interface, number))
    return tuple(sorted(made))


def with_shared(ports: Iterable[SerialPort]) -> tuple[SerialPort, ...]:
    """The ports, each told which of its names another one claims too."""
    kept = tuple(ports)
    count = Counter(link for port in kept for link in port.links)
    return tuple(replace(p, shared=tuple(link for link in p.links if count[link] > 1)) for p in kept)


def _with_rights(beside: Beside, port: SerialPort, groups: Mapping[int, str]) -> SerialPort:
    """The port with group and mode of its node, and whether the person who scans may open it."""
    node = beside.node(port.name)
    if node is None:
        return port
    mode = stat.S_IMODE(node.st_mode)
    return replace(port, mode=mode, group=groups.get(node.st_gid), allowed=may_open(node.st_uid, node.st_gid, mode))


def may_open(owner: int, group: int, mode: int) -> bool:
    """Whether who runs this may read and write a node, by the classes of POSIX: owner, group, others; root always."""
    user = os.geteuid()
    if user == 0:
        return True
    if user == owner:
        return mode & 0o600 == 0o600
    if group in (os.getegid(), *os.getgroups()):
        return mode & 0o060 == 0o060
    return mode & 0o006 == 0o006


def group_names(data: bytes | None) -> dict[int, str]:
    """Names of groups by number, from /etc/group (group(5))."""
    found: dict[int, str] = {}
    for line in (data or b"").decode("utf-8", "replace").splitlines():
        parts = line.split(":")
        if len(parts) >= 3 and parts[2].isdigit() and len(parts[2]) < 11 and parts[0]:
            found.setdefault(int(parts[2]), parts[0][:64])
    return found


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
