"""Plugs as they were found: moved parts where they are, missing ones nowhere, with hubs that the file does not have.

A part that sits in a hub which is in no file is computed behind a hub like the one that was seen, so that what it
shares its way with is not lost; that hub stands in the measured rig alone, under a name made here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.compare.rootplaces import socket_at
from topo.frozen import frozen, replace
from topo.model.rig import COMPUTER, Hub, Plug, Rig, Socket, socket_number
from topo.model.speed import Speed
from topo.wiring.measured import hub_facts
from topo.wiring.sockets import sockets_of_part

if TYPE_CHECKING:
    from topo.model.comparison import Match
    from topo.model.plugged import PluggedIn, Thing
    from topo.wiring.topology import Topology

STRANGE_HUB = "unlisted-hub"
"""What a hub is called that is plugged in and stands in no file."""


@frozen
class Replugged:
    """A rig as plugged in, and the parts that were added to it: key of the thing, and the name made for it."""

    rig: Rig
    added: tuple[tuple[str, str], ...] = ()


def unplugged(rig: Rig, missing: Sequence[str]) -> Rig:
    """The rig without the plugs of what is missing; their sockets are kept for them."""
    for name in missing:
        part = rig.part(name)
        if part.plug is not None:
            rig = rig.with_part(replace(part, plug=None))
            rig = replace(rig, reserved=(*rig.reserved, part.plug))
    return rig


def replugged(rig: Rig, topology: Topology, live: PluggedIn, matches: Sequence[Match]) -> Replugged:
    """Moved parts plugged in where they were found. One whose place is told by nothing hangs nowhere."""
    owner = {thing.key: match.part for match in matches for thing in match.things}
    added: dict[str, str] = {}
    leaving = [match.part for match in matches if match.moved]
    for match in matches:
        if not match.moved:
            continue
        leaving.remove(match.part)
        rig, above = _above(rig, live, match.thing.above, {**owner, **added}, added)
        part = rig.part(match.part)
        if above is not None and (above == match.part or above in topology.below(match.part)):
            continue
        socket = _socket(rig, above, match.part, match.thing, live, leaving) if above is not None else None
        place = part.plug.place if part.plug else part.place
        if above is None or socket is None:
            rig = unplugged(rig, (match.part,))
            rig = replace(rig, unplaced=(*rig.unplaced, match.part))
        else:
            rig = rig.with_part(replace(part, plug=Plug(above, socket.name, place)))
    return Replugged(rig, tuple(added.items()))


def _above(
    rig: Rig, live: PluggedIn, key: str | None, owner: dict[str, str], added: dict[str, str]
) -> tuple[Rig, str | None]:
    """The part that a thing's key is; a hub that is no part is added with all above it. None where it has no place."""
    if key == COMPUTER:
        return rig, COMPUTER
    thing = live.thing(key)
    if thing is None or key is None:
        return rig, None
    if (known := owner.get(key)) is not None:
        return rig, known
    rig, above = _above(rig, live, thing.above, owner, added)
    name = _free_name(rig)
    socket = _socket(rig, above, name, thing, live, ()) if above is not None else None
    if above is None or socket is None:
        return rig, None
    used = max((below.port or 0 for below in live.below(key)), default=0)
    hub = Hub(id=name, plug=Plug(above, socket.name), facts=hub_facts(thing.seen, used), place=rig.computer.place)
    added[key] = name
    owner[key] = name
    return rig.with_part(replace(hub, sockets=sockets_of_part(hub))), name


def _free_name(rig: Rig) -> str:
    """A name that no part has: unlisted-hub, unlisted-hub-2, …"""
    taken = {part.id for part in rig.parts}
    names = (STRANGE_HUB if number == 1 else f"{STRANGE_HUB}-{number}" for number in range(1, len(taken) + 2))
    return next(name for name in names if name not in taken)


def _socket(
    rig: Rig, above: str, name: str, thing: Thing, live: PluggedIn, leaving: Sequence[str]
) -> Socket | None:
    """The socket it is in by place or number if free, else the first free one that carries the speed it runs at.

    `leaving` are parts that have not been put where they were found yet: their sockets are free.
    """
    staying = [part for part in rig.parts if part.id not in leaving and part.id != name]
    used = {part.plug.socket for part in staying if part.plug is not None and part.plug.part == above}
    free = [s for s in rig.part(above).sockets if s.kind == "usb" and s.name not in used]
    if above == COMPUTER and (placed := socket_at(live, thing, free)) is not None:
        return placed
    if above != COMPUTER:
        for socket in free:
            if socket_number(socket.name) == thing.port:
                return socket
    runs = Speed.from_mbit(thing.most_mbit or 0)
    return next((s for s in free if s.speed.is_superspeed == runs.is_superspeed), free[0] if free else None)
