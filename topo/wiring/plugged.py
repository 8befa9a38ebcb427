"""From a scan to what is plugged in: sightings joined to things, each in its socket. Knows nothing of a rig file."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from topo.model.plugged import PluggedIn, Thing
from topo.model.rig import COMPUTER, Plug
from topo.wiring.joined import joined
from topo.wiring.kinds import kind_of
from topo.wiring.rootsockets import root_sockets

if TYPE_CHECKING:
    from topo.model.plugged import PortKey, RootSocket
    from topo.model.sighting import HubPort, Scan, Sighting
    from topo.wiring.joined import Sides

DEEPEST_CHAIN = 16
"""Ports of a chain; USB has at most 7 tiers (USB 2.0 4.1.1). What claims to be deeper hangs nowhere."""

FIXED_TYPES = ("hardwired",)
"""Connect types of ports whose device is soldered in."""


def plugged_in(scan: Scan) -> PluggedIn:
    """A scan wired up. Never raises: what does not say where it is hangs nowhere."""
    found = joined(scan)
    roots = tuple(sides.members for sides in found if sides.kind == "root")
    known = _Known(scan)
    alone = [_thing(sides, scan, known) for sides in found if sides.kind != "root"]
    sockets = root_sockets(scan, alone, known.usb2_side)
    return PluggedIn(scan, tuple(_in_order(_plugged(alone, sockets, known))), roots, sockets)


class _Known:
    """Sightings by id, and what a scan tells of ports, by hub and number."""

    def __init__(self, scan: Scan) -> None:
        self.sightings = {seen.id: seen for seen in scan.sightings}
        self._ports = {(port.hub, port.number): port for port in scan.ports}
        self._fast = {seen.id for seen in scan.sightings if seen.is_super}

    def of(self, seen: Sighting) -> HubPort | None:
        """The port a sighting is in, or None."""
        return self._ports.get((seen.parent or "", seen.ports[-1])) if seen.ports else None

    def usb2_side(self, key: PortKey) -> PortKey:
        """The same socket's port on the USB 2 side, where the system tells which that is; else the port itself."""
        port = self._ports.get(key)
        if port is None or port.peer is None:
            return key
        if port.peer[0] == key[0]:  # a root hub with both sides numbers those of USB 2 first
            return min(key, port.peer)
        return port.peer if key[0] in self._fast else key


def _thing(sides: Sides, scan: Scan, known: _Known) -> Thing:
    """A thing that is not plugged in yet, with the number of its port."""
    seen = tuple(known.sightings[member] for member in sides.members)
    first = seen[0]
    number = known.usb2_side((first.parent, first.ports[-1]))[1] if first.parent and first.ports else None
    main = first if sides.kind == "hub" else seen[-1]
    word = "hub" if sides.kind == "hub" else kind_of(main, scan).word
    fixed = any(side.removable == "fixed" or _is_fixed(known.of(side)) for side in seen)
    return Thing(first.id, "hub" if sides.kind == "hub" else "device", seen, None, number, word, fixed, sides.joined_by)


def _is_fixed(port: HubPort | None) -> bool:
    return port is not None and port.connect_type in FIXED_TYPES


def _plugged(alone: Iterable[Thing], sockets: Iterable[RootSocket], known: _Known) -> Iterator[Thing]:
    things = list(alone)
    home = {side.id: thing for thing in things for side in thing.seen}
    names = {key: each.socket.name for each in sockets for key in each.ports}
    for thing in things:
        first = thing.seen[0]
        plug = None
        if thing.port is not None and first.parent is not None and len(first.ports) <= DEEPEST_CHAIN:
            key = known.usb2_side((first.parent, first.ports[-1]))
            if key in names:
                plug = Plug(COMPUTER, names[key])
            elif (above := home.get(first.parent)) is not None and above is not thing:
                plug = Plug(above.key, _socket_name(above, thing.port))
        yield replace(thing, plug=plug, port=thing.port if plug is not None else None)


def _socket_name(above: Thing, number: int) -> str:
    """As a rig file calls it: the number on a hub; on a device's back, which side its own hub has too."""
    if above.kind == "hub":
        return str(number)
    return f"{'usb3' if (above.seen[0].speed_mbit or 0) >= 5000 else 'usb2'}-{number}"


def _in_order(things: Iterable[Thing]) -> Iterator[Thing]:
    """Parents before children, siblings by number. What hangs in a circle hangs nowhere, at the end."""
    below: dict[str | None, list[Thing]] = {}
    for thing in sorted(things, key=_siblings):
        below.setdefault(thing.above, []).append(thing)
    pending: list[str | None] = [COMPUTER, None]
    while pending:
        for thing in below.pop(pending.pop(0), ()):
            pending.append(thing.key)
            yield thing
    for circle in below.values():
        yield from (replace(thing, plug=None, port=None) for thing in circle)


def _siblings(thing: Thing) -> tuple[int, int, str]:
    """The computer's ports count anew on each bus; those of a hub's two sides are numbered as one."""
    return (thing.seen[0].bus if thing.above == COMPUTER else 0, thing.port or 0, thing.key)
