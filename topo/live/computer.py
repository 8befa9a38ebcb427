"""The computer's sockets as a scan shows them: root ports, paired with their peer on the SuperSpeed side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from topo.live.kinds import speed_word
from topo.live.outline import Outline, PortKey, canonical
from topo.live.scalars import comment
from topo.model.plain import plain
from topo.model.sighting import Controller, HubPort, Scan, Sighting

OUTSIDE = ("hotplug",)
"""Connect types of ports with a socket; a hardwired or unused port is listed only where something is in it."""


@dataclass(frozen=True, slots=True)
class ComputerSocket:
    """One socket: its name in the rig file, the root ports behind it, controller name, and the best speed's word."""

    name: str
    keys: tuple[PortKey, ...]
    controller: str | None
    speed: str
    outside: bool


def sockets_of_computer(whole: Outline) -> tuple[ComputerSocket, ...]:
    """Sockets that have a plug in them, and those that the firmware says can be plugged into; SuperSpeed ones first."""
    roots = {s.id: s for s in whole.scan.sightings if s.is_root}
    used = {e.port: e for e in whole.entries if e.above is not None and e.above.kind == "root" and e.port}
    keys: dict[PortKey, list[PortKey]] = {key: [key] for key in used}
    for port in whole.ports.values():
        key = (port.hub, port.number)
        first = canonical(key, whole.ports)
        if port.hub in roots and (first in used or port.connect_type in OUTSIDE):
            keys.setdefault(first, [])
            keys[first] += [key] if key not in keys[first] else []
    for first, entry in used.items():
        keys[first] += [
            k for s in entry.seen if s.parent in roots and (k := (s.parent or "", s.ports[-1])) not in keys[first]
        ]
    controllers = {c.id: f"controller-{n}" for n, c in enumerate(whole.scan.controllers, 1)}
    counts = {"usb3": 0, "usb2": 0}
    found = []
    for first in sorted(keys, key=lambda k: (_place(roots, k), k)):
        members = sorted(keys[first], key=lambda k: _place(roots, k))
        speeds = [roots[hub].speed_mbit or 480 for hub, _ in members if hub in roots]
        best = max(speeds, default=480)
        prefix = "usb3" if best >= 5000 else "usb2"
        counts[prefix] += 1
        root = roots.get(first[0])
        found.append(
            ComputerSocket(
                f"{prefix}-{counts[prefix]}",
                tuple(members),
                controllers.get(root.controller or "") if root else None,
                speed_word(max(best, 480)) or "high",
                _outside(members, whole.ports),
            )
        )
    return tuple(sorted(found, key=lambda s: (not s.name.startswith("usb3"), int(s.name.partition("-")[2]))))


def _place(roots: dict[str, Sighting], key: PortKey) -> tuple[int, int]:
    return (roots[key[0]].bus if key[0] in roots else 0, key[1])


def _outside(members: list[PortKey], ports: dict[PortKey, HubPort]) -> bool:
    return not any(ports[key].connect_type == "hardwired" for key in members if key in ports)


def computer_lines(scan: Scan, sockets: tuple[ComputerSocket, ...]) -> Iterator[str]:
    """The `computer:` section."""
    yield "computer:    # `profile: …` instead of the lines below, where one fits; `topo profiles computer` lists them"
    if scan.system in ("linux", "windows", "macos"):
        yield f"  os: {scan.system}"
    if scan.usbfs_memory_mb is not None and 0 <= scan.usbfs_memory_mb <= 1_000_000:
        yield f"  usbfs_memory_mb: {scan.usbfs_memory_mb}"
    if scan.controllers:
        yield "  controllers:"
        for n, controller in enumerate(scan.controllers, 1):
            yield f"    controller-{n}: {{}}    # {_words(controller)}; say `uplink` if you know it (pcie2x1, …)"
    if sockets:
        yield "  ports:    # `usb2_bus: WORD` where you know which of them share one 480 Mb/s bus"
    for socket in sockets:
        served_by = f"controller: {socket.controller}, " if socket.controller else ""
        where = " and ".join(f"{hub} port {number}" for hub, number in socket.keys)
        inside = "" if socket.outside else "; soldered in, no socket"
        yield f"    {socket.name}: {{{served_by}speed: {socket.speed}}}    # {plain(where)}{inside}"
    if not scan.controllers and not sockets:
        yield "  note: the scan saw no USB controller"


def _words(controller: Controller) -> str:
    driver = f" ({comment(controller.driver, 40)})" if controller.driver else ""
    return f"{comment(controller.id, 60)}{driver}"
