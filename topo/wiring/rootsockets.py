"""The computer's sockets as a scan shows them: root ports, paired with their peer on the SuperSpeed side."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from topo.model.plugged import RootSocket
from topo.model.rig import Socket
from topo.model.speed import Speed
from topo.wiring.kinds import speed_word

if TYPE_CHECKING:
    from topo.model.plugged import PortKey, Thing
    from topo.model.sighting import HubPort, Scan, Sighting

OUTSIDE = ("hotplug",)
"""Connect types of ports with a socket; a hardwired or unused port is listed only where something is in it."""


def root_sockets(
    scan: Scan, things: Iterable[Thing], usb2_side: Callable[[PortKey], PortKey]
) -> tuple[RootSocket, ...]:
    """Sockets that have a plug in them, and those that the firmware says can be plugged into; SuperSpeed ones first."""
    roots = {seen.id: seen for seen in scan.sightings if seen.is_root}
    ports = {(port.hub, port.number): port for port in scan.ports}
    things = list(things)
    groups = _groups(things, roots, ports, usb2_side)
    rates = _rates(things)
    controllers = {controller.id: f"controller-{n}" for n, controller in enumerate(scan.controllers, 1)}
    counts = {"usb3": 0, "usb2": 0}
    found = []
    for first in sorted(groups, key=lambda key: (_place(roots, key), key)):
        members = tuple(sorted(groups[first], key=lambda key: _place(roots, key)))
        known = [roots[hub].speed_mbit or rates.get((hub, n), 480) for hub, n in members if hub in roots]
        best = max(known, default=480)
        prefix = "usb3" if best >= 5000 else "usb2"
        counts[prefix] += 1
        root = roots.get(first[0])
        socket = Socket(
            f"{prefix}-{counts[prefix]}",
            Speed.from_word(speed_word(max(best, 480)) or "high"),
            controller=controllers.get(root.controller or "") if root else None,
            basis="measured",
            at=_place(roots, members[0]) if members[0][0] in roots else None,
        )
        found.append(RootSocket(socket, members, not _soldered(members, ports)))
    return tuple(sorted(found, key=lambda each: (not each.socket.speed.is_superspeed, *_counted(each.socket.name))))


def _rates(things: Iterable[Thing]) -> dict[PortKey, float]:
    """What runs in each root port at least, Mb/s: all that is known of a root hub that does not tell its speed."""
    return {
        (side.parent or "", side.ports[-1]): side.least_mbit or 480
        for thing in things for side in thing.seen if side.ports
    }  # fmt: skip


def _groups(
    things: Iterable[Thing],
    roots: Mapping[str, Sighting],
    ports: Mapping[PortKey, HubPort],
    usb2_side: Callable[[PortKey], PortKey],
) -> dict[PortKey, list[PortKey]]:
    """The root ports of each socket, by that of its USB 2 side."""
    groups: dict[PortKey, list[PortKey]] = {}
    for thing in things:
        keys = [(side.parent or "", side.ports[-1]) for side in thing.seen if side.parent in roots and side.ports]
        if thing.seen[0].parent in roots and keys:
            first = usb2_side(keys[0])
            group = groups.setdefault(first, [first])
            group += [key for key in keys if key not in group]
    for key, port in ports.items():
        first = usb2_side(key)
        if port.hub in roots and (first in groups or port.connect_type in OUTSIDE):
            group = groups.setdefault(first, [])
            group += [key] if key not in group else []
    return groups


def _place(roots: Mapping[str, Sighting], key: PortKey) -> tuple[int, int]:
    return (roots[key[0]].bus if key[0] in roots else 0, key[1])


def _counted(name: str) -> tuple[int]:
    return (int(name.partition("-")[2]),)


def _soldered(members: Iterable[PortKey], ports: Mapping[PortKey, HubPort]) -> bool:
    return any(ports[key].connect_type == "hardwired" for key in members if key in ports)
