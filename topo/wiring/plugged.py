"""From a scan to what is plugged in: sightings joined to things, each in its socket. Knows nothing of a rig file."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from topo.frozen import replace
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

MOST_HUB_SOCKETS = 31

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
    plugs = {thing.key: _plug(thing, home, names, known) for thing in things}
    ports = {thing.key: thing.port if plugs[thing.key] is not None else None for thing in things}
    taken: set[Plug] = set()
    # What runs at USB 2 keeps the number of its socket: it is that of the USB 2 side.
    for thing in sorted(things, key=lambda each: bool(each.own.is_super) and len(each.seen) == 1):
        plug = plugs[thing.key]
        if plug is not None and plug in taken:
            plugs[thing.key], ports[thing.key] = _beside(plug, home, plugs.values()), None
        taken.update(filter(None, (plugs[thing.key],)))
    for thing in things:
        yield replace(thing, plug=plugs[thing.key], port=ports[thing.key])


def _plug(
    thing: Thing, home: Mapping[str, Thing], names: Mapping[PortKey, str], known: _Known
) -> Plug | None:
    """The socket by the port that the thing's first side is in."""
    first = thing.seen[0]
    if thing.port is None or first.parent is None or len(first.ports) > DEEPEST_CHAIN:
        return None
    key = known.usb2_side((first.parent, first.ports[-1]))
    if key in names:
        return Plug(COMPUTER, names[key])
    above = home.get(first.parent)
    return Plug(above.key, _socket_name(above, thing.port)) if above is not None and above is not thing else None


def _beside(plug: Plug, home: Mapping[str, Thing], plugs: Iterable[Plug | None]) -> Plug | None:
    """A socket for what another thing is in the way of: the two sides of some hubs number their sockets apart.

    It is on that hub, in one of those where nothing is; which one is not known. None for a socket of the computer.
    """
    above = home.get(plug.part)
    if above is None or above.kind != "hub":
        return None
    used = {each.number for each in plugs if each is not None and each.part == plug.part}
    free = next((n for n in range(1, MOST_HUB_SOCKETS + 1) if n not in used), None)
    return None if free is None else Plug(plug.part, str(free))


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
