"""Entries of Windows' device tree as a scan: places by location paths, else by parents and sockets; sides by hubs.

One root hub has the sockets of both sides of USB there: a plug has one number at USB 2 and another at SuperSpeed. They
are paired where the firmware's names say so; hubs also by container id.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from topo.errors import ScanError
from topo.frozen import replace
from topo.live.listings.ask import ask_for
from topo.live.listings.assemble import MOST_SOCKETS_DOWN, assembled, loose, root_hub, short
from topo.live.listings.values import told
from topo.live.listings.win import INSIDE, WinNode
from topo.model.limits import Limits
from topo.model.sighting import HostController, HubPort, Interface, Scan, SerialPort, Side, Sighting, device_id

WINDOWS_LIMITS = Limits(
    speeds="some", abilities="none", classes="some", halves="some", sockets="none", power="none", sleep="none",
    over_current="none", history="none",
)  # fmt: skip

WinPlace = tuple[str, tuple[int, ...]]
"""Controller and chain."""


def windows_scan(nodes: Iterable[WinNode], scanner: str, limits: Limits = WINDOWS_LIMITS, when: str = "") -> Scan:
    """The scan of the entries. Raises ScanError where no USB device is among them."""
    known = {node.key: node for node in nodes}
    devices = [node for node in known.values() if node.ids and node.interface is None]
    if not devices and not any(node.root is not None for node in known.values()):
        raise ScanError("no USB device is in this listing of Windows")
    places = {node.key: place for node in known.values() if (place := place_in(node, known)) is not None}
    buses = {name: n for n, name in enumerate(sorted({place[0] for place in places.values()}, key=_natural), 1)}
    problems = [f"Windows says {_status(node)} of '{node.name or node.instance}'" for node in devices if _status(node)]
    sides = _sides(known, places)
    functions = _functions(known)
    seen, ids = [], {}
    for number, node in enumerate(devices, 1):
        made = _sighting(node, number, places, buses, sides, functions.get(node.key, ()))
        seen.append(made)
        ids[node.key] = made.id
    if unplaced := sum(not s.ports for s in seen):
        problems.append(f"the listing does not tell which socket {_count(unplaced)} in; {ask_for('windows')} does")
    tree = assembled(seen, problems, {n: root_hub(n, name) for name, n in buses.items()})
    names = {n: name for name, n in buses.items()}
    return Scan(
        when=when,
        system="windows",
        kernel=None,
        scanner=scanner,
        controllers=tuple(HostController(name, (n,), *_pci(name, known, places)) for name, n in buses.items()),
        sightings=tuple(replace(s, controller=names.get(s.bus)) for s in tree),
        ports=_peers(known, places, buses, tree),
        serial_ports=_serial_ports(known, ids),
        problems=short(problems),
        limits=replace(limits, places="some") if unplaced else limits,
    )


def _count(number: int) -> str:
    return "one device is" if number == 1 else f"{number} devices are"


def _natural(name: str) -> list[tuple[int, str]]:
    return [
        (int(part, 16), part) if re.fullmatch(r"[0-9A-Fa-f]{1,8}", part) else (-1, part)
        for part in re.split(r"[()#]", name)
    ]


def _status(node: WinNode) -> str | None:
    """Trouble in words that no language of Windows changes."""
    word = (node.status or "").strip()
    return f"'{word}'" if word.lower() in ("error", "degraded", "problem", "stopped", "disconnected") else None


def place_in(node: WinNode, known: Mapping[str, WinNode]) -> WinPlace | None:
    """Controller and chain of a device or root hub; by its path, else by its parents' sockets up to a root hub."""
    if node.path is not None:
        return node.path
    chain: list[int] = []
    at: WinNode | None = node
    for _ in range(MOST_SOCKETS_DOWN + 2):
        if at is None:
            return None
        if at.root is not None:
            return (at.path[0] if at.path else at.instance), tuple(chain[::-1])
        if at.path is not None:
            return at.path[0], (*at.path[1], *chain[::-1])
        if at.ids is None or at.interface is not None or at.socket is None:
            return None
        chain.append(at.socket)
        at = known.get((at.parent or "").casefold())
    return None


def _sides(known: Mapping[str, WinNode], places: Mapping[str, WinPlace]) -> dict[WinPlace, Side]:
    """Which side of USB each socket of a root hub, and each hub with all below it, is on. From the top down."""
    sides: dict[WinPlace, Side] = {}
    for node in known.values():
        place = places.get(node.key)
        if place is None:
            continue
        if node.root is not None and node.root != "30":
            sides[place[0], ()] = "usb2"
        firmware = node.firmware_socket
        if firmware and place[1]:
            sides.setdefault((place[0], place[1][:1]), firmware[0])
        if node.is_hub and place[1] and (side := node.hub_side) is not None:
            sides[place] = side
    return sides


def _side_at(place: WinPlace, sides: Mapping[WinPlace, Side]) -> Side | None:
    """The side of the nearest hub or socket above, its own first."""
    name, chain = place
    return next((s for n in range(len(chain), -1, -1) if (s := sides.get((name, chain[:n]))) is not None), None)


def _functions(known: Mapping[str, WinNode]) -> dict[str, tuple[Interface, ...]]:
    """Interfaces of each device: those of a composite one are entries of their own below it."""
    found: dict[str, list[Interface]] = {}
    for node in known.values():
        if node.ids is None or node.is_hub:
            continue
        owner = node.key if node.interface is None else (node.parent or "").casefold()
        if (codes := node.codes()) is not None and owner in known:
            found.setdefault(owner, []).append(Interface(node.interface or 0, 0, None, *codes, told(node.service)))
    return {owner: tuple(sorted(each, key=lambda i: i.number)) for owner, each in found.items()}


def _sighting(
    node: WinNode,
    number: int,
    places: Mapping[str, WinPlace],
    buses: Mapping[str, int],
    sides: Mapping[WinPlace, Side],
    functions: tuple[Interface, ...],
) -> Sighting:
    place = places.get(node.key)
    chain = place[1] if place and len(place[1]) else ()
    bus = buses[place[0]] if place and chain else 0
    codes = node.codes() if node.is_hub else node.device_codes()
    vendor, product = node.ids or (None, None)
    container = (node.container or "").lower()
    return Sighting(
        id=device_id(bus, chain) if chain else loose(number),
        bus=bus,
        ports=chain,
        vendor_id=vendor,
        product_id=product,
        usb_class=codes[0] if codes else 9 if node.is_hub else None,
        subclass=codes[1] if codes else None,
        protocol=codes[2] if codes else None,
        product=told(node.reported) or told(node.name),
        serial=node.serial,
        container_id=told(container) if container not in ("", INSIDE) else None,
        removable="fixed" if container == INSIDE else None,
        interfaces=functions,
        side=_side_at(place, sides) if place and chain else None,
    )


def _pci(name: str, known: Mapping[str, WinNode], places: Mapping[str, WinPlace]) -> tuple[str | None, str | None]:
    """Vendor and product of a controller, by the id of its root hub's parent."""
    for node in known.values():
        if node.root is not None and places.get(node.key, ("", ()))[0] == name:
            match = re.match(r"PCI\\VEN_([0-9A-F]{4})&DEV_([0-9A-F]{4})", node.parent or "", re.IGNORECASE)
            return (match[1].lower(), match[2].lower()) if match else (None, None)
    return None, None


def _peers(
    known: Mapping[str, WinNode], places: Mapping[str, WinPlace], buses: Mapping[str, int], tree: Iterable[Sighting]
) -> tuple[HubPort, ...]:
    """Pairs of the two numbers of one socket, where the firmware's names of both are in the listing."""
    named: dict[tuple[int, int], dict[Side, int]] = {}
    for node in known.values():
        place, firmware = places.get(node.key), node.firmware_socket
        if place and place[1] and firmware:
            named.setdefault((buses[place[0]], firmware[1]), {}).setdefault(firmware[0], place[1][0])
    device = {(s.bus, s.ports[0]): s.id for s in tree if len(s.ports) == 1}
    ports = []
    for (bus, _), both in sorted(named.items()):
        if len(both) == 2 and both["usb2"] != both["superspeed"]:
            root = device_id(bus, ())
            for own, other in ((both["usb2"], both["superspeed"]), (both["superspeed"], both["usb2"])):
                ports.append(HubPort(root, own, peer=(root, other), device=device.get((bus, own))))
    return tuple({(port.hub, port.number): port for port in ports}.values())


def _serial_ports(known: Mapping[str, WinNode], ids: Mapping[str, str]) -> tuple[SerialPort, ...]:
    """COM ports, each with the device that is it or above it."""
    found = []
    for node in known.values():
        match = re.search(r"\((COM[0-9]{1,4})\)\s*$", node.name or "")
        name = node.port_name or (match[1] if match is not None else None)
        if name is None or not (node.kind or "").lower().startswith("ports"):
            continue
        at: WinNode | None = node
        for _ in range(6):
            if at is None or at.key in ids:
                break
            at = known.get((at.parent or "").casefold())
        device = ids.get(at.key) if at is not None else None
        found.append(SerialPort(name, device, node.interface, told(node.service)))
    return tuple(sorted(found, key=lambda port: int(port.name[3:])))
