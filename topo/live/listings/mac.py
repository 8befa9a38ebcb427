"""What the listings of macOS share: the location number, speeds in words and codes, and the tree they make.

A location has two hexadecimal digits for the bus and one for each socket on the way down. That rule is not documented;
it holds for every location in the recordings from real machines, and for public reports.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from topo.frozen import frozen, replace
from topo.live.listings.assemble import assembled, loose, root_hub, short
from topo.live.listings.values import whole
from topo.model.limits import Limits
from topo.model.sighting import HostController, HubPort, Scan, Side, Sighting, device_id

SPEED_WORDS = re.compile(r"([0-9]{1,5}(?:[.,][0-9]{1,2})?) ?([MG])b(?:it)?/s(?:ec)?", re.IGNORECASE)
WORDS = {
    "low_speed": 1.5,
    "full_speed": 12.0,
    "high_speed": 480.0,
    "super_speed": 5000.0,
    "super_speed_plus": 10000.0,
    "super_speed_plus_by_2": 20000.0,
}
SOCKET_PER_CONTROLLER = re.compile(r"AppleT[0-9]{4,}\w*XHCI", re.IGNORECASE)
"""Controllers of machines with one of them for each socket: the first socket digit is 1 for USB 2, 2 for SuperSpeed.

Seen on two machines, documented nowhere.
"""

SIDES: dict[int, Side] = {1: "usb2", 2: "superspeed"}


@frozen
class MacBus:
    """A bus as a listing names it: `number` where it is told, driver, PCI ids, and 480 where it is USB 2 only."""

    number: int | None
    driver: str | None = None
    vendor_id: str | None = None
    product_id: str | None = None
    speed_mbit: float | None = None


def place_of(location: int | None) -> tuple[int, tuple[int, ...]] | None:
    """MacBus and chain of a location number; None where it is none, or has a hole in its chain.

    Old systems print it with the sign extended to 64 bits.
    """
    if location is None or location < 0:
        return None
    location &= 0xFFFFFFFF
    digits = [location >> shift & 15 for shift in (20, 16, 12, 8, 4, 0)]
    chain = tuple(digit for digit in digits if digit)
    return (location >> 24, chain) if tuple(digits[: len(chain)]) == chain else None


def location_of(text: str | None) -> int | None:
    """The number in "0x1d183000 / 4" or "14100000"."""
    match = re.match(r"\s*(?:0x)?([0-9a-fA-F]{6,16})\b", text or "")
    return int(match[1], 16) if match else None


def speed_of(words: str | None) -> float | None:
    """Mb/s of "Up to 480 Mb/sec", "5 Gb/s" or "high_speed"."""
    if words is None:
        return None
    if words.strip() in WORDS:
        return WORDS[words.strip()]
    match = SPEED_WORDS.search(words)
    return float(match[1].replace(",", ".")) * (1000 if match[2] in "Gg" else 1) if match else None


def mac_scan(
    devices: Iterable[tuple[int | None, Sighting]],
    buses: Iterable[MacBus],
    scanner: str,
    limits: Limits,
    problems: list[str],
) -> Scan:
    """The scan of devices with their location numbers. Sightings come without id, bus and place."""
    placed = []
    for number, (location, seen) in enumerate(devices, 1):
        place = place_of(location)
        if place is None or not place[1]:
            problems.append(f"'{seen.product or 'a device'}' has no location that can be read; its place is not known")
            placed.append(replace(seen, id=loose(number), bus=0, ports=()))
        else:
            placed.append(replace(seen, id=device_id(*place), bus=place[0], ports=place[1]))
    known = _numbered(buses, placed)
    roots = {n: root_hub(n, _id(n), bus.speed_mbit) for n, bus in known.items()}
    per_socket = {n for n, bus in known.items() if SOCKET_PER_CONTROLLER.search(bus.driver or "")}
    sided = [_sided(seen, per_socket) for seen in placed]
    whole_tree = assembled(sided, problems, roots)
    if any(seen.bus in per_socket and seen.ports for seen in whole_tree):
        problems.append(
            "which side of USB a device is on is taken from its first socket digit (1: USB 2, 2: "
            "SuperSpeed), as seen on machines of this kind; it is assumed, not told"
        )
    return Scan(
        when="",
        system="macos",
        kernel=None,
        scanner=scanner,
        controllers=_controllers(buses, known, whole_tree),
        sightings=tuple(replace(s, controller=_id(s.bus) if s.ports or s.is_root else None) for s in whole_tree),
        ports=_peers(whole_tree, per_socket),
        problems=short(problems),
        limits=limits,
    )


def _numbered(buses: Iterable[MacBus], placed: Iterable[Sighting]) -> dict[int, MacBus]:
    """Buses by number: those that tell it, and one for each number that only a device tells."""
    known = {bus.number: bus for bus in buses if bus.number is not None}
    for seen in placed:
        if seen.ports:
            known.setdefault(seen.bus, MacBus(seen.bus))
    return {number: known[number] for number in sorted(known)}


def _id(bus: int) -> str:
    return f"bus 0x{bus:02x}"


def _sided(seen: Sighting, per_socket: set[int]) -> Sighting:
    if seen.speed_mbit is None and seen.bus in per_socket and seen.ports:
        return replace(seen, side=SIDES.get(seen.ports[0]))
    return seen


def _controllers(
    buses: Iterable[MacBus], known: Mapping[int, MacBus], sightings: Iterable[Sighting]
) -> tuple[HostController, ...]:
    used = {seen.bus for seen in sightings if seen.is_root}
    told = [
        HostController(_id(n), (n,), bus.vendor_id, bus.product_id, bus.driver) for n, bus in known.items() if n in used
    ]
    silent = [bus for bus in buses if bus.number is None]
    unnumbered = (HostController(f"bus ?{n}", (), b.vendor_id, b.product_id, b.driver) for n, b in enumerate(silent, 1))
    return (*told, *unnumbered)


def _peers(sightings: Iterable[Sighting], per_socket: set[int]) -> tuple[HubPort, ...]:
    """The two numbers of the one socket of such a controller."""
    used = {(s.bus, s.ports[0]): s.id for s in sightings if len(s.ports) == 1}
    ports = []
    for bus in sorted(per_socket):
        root = device_id(bus, ())
        if any((bus, digit) in used for digit in SIDES):
            ports += [
                HubPort(root, one, peer=(root, other), device=used.get((bus, one))) for one, other in ((1, 2), (2, 1))
            ]
    return tuple(ports)


def speed_by_code(link: object, usb_speed: object, device_speed: object) -> float | None:
    """Mb/s by the three properties a registry may have. The two codes count differently: 2 is low in one, high in the
    other (IOUSBHostFamilyDefinitions.h; public reports)."""
    rate = whole(link)
    if rate in (1_500_000, 12_000_000, 480_000_000, 5_000_000_000, 10_000_000_000, 20_000_000_000):
        return rate / 1e6
    code = whole(usb_speed, 255)
    if code:
        return {1: 12.0, 2: 1.5, 3: 480.0, 4: 5000.0, 5: 10000.0, 6: 20000.0}.get(code)
    code = whole(device_speed, 255)
    return None if code is None else {0: 1.5, 1: 12.0, 2: 480.0, 3: 5000.0, 4: 10000.0, 5: 20000.0}.get(code)


def plist_in(text: str) -> bytes:
    """The property list of a text, without what stands before and behind it."""
    begin = text.find("<?xml") if "<?xml" in text else text.find("<plist")
    end = text.rfind("</plist>")
    return text[max(begin, 0) : end + 8 if end >= 0 else None].encode("utf-8", "replace")


def names_a_hub(name: str | None) -> bool:
    """True where a name ends in hub: all that a listing without classes tells of an empty one."""
    return re.search(r"(?:\bhub|hub_device)$", name or "", re.IGNORECASE) is not None
