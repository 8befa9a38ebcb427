"""Where on the computer a thing is plugged in: by the places of the file's sockets (`at`), where it gives them.

Buses count anew at every start where there are several controllers, and the two sides of a socket are different buses:
so a place is another one only where the bus is the same, or the system says that the bus is another controller's.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from topo.model.rig import COMPUTER

if TYPE_CHECKING:
    from topo.model.plugged import PluggedIn, Thing
    from topo.model.rig import Socket


def ports_of(live: PluggedIn, thing: Thing) -> tuple[tuple[int, int], ...]:
    """Bus and port of each side of the computer's socket a thing is in; none where it is in no such socket."""
    if thing.above != COMPUTER or thing.plug is None:
        return ()
    name = thing.plug.socket
    keys = next((each.ports for each in live.sockets if each.socket.name == name), ())
    seen = {side.id: side for side in live.scan.sightings}
    return tuple((seen[hub].bus, number) for hub, number in keys if hub in seen)


def is_at(live: PluggedIn, thing: Thing, socket: Socket) -> bool:
    """True where the thing is in the socket that the file places there."""
    return socket.at is not None and socket.at in ports_of(live, thing)


def is_elsewhere(live: PluggedIn, thing: Thing, socket: Socket) -> bool:
    """True where the file places the socket, and the thing is surely in another one of the computer."""
    ports = ports_of(live, thing)
    if socket.at is None or not ports or socket.at in ports:
        return False
    if socket.at[0] in (bus for bus, _ in ports):
        return True
    controllers = live.scan.controllers
    own = next((each.id for each in controllers if ports[0][0] in each.buses), None)
    other = next((each.id for each in controllers if socket.at[0] in each.buses), None)
    return own is not None and other is not None and own != other


def socket_at(live: PluggedIn, thing: Thing, sockets: Iterable[Socket]) -> Socket | None:
    """The file's socket that a thing is in, where the file places it."""
    return next((socket for socket in sockets if is_at(live, thing, socket)), None)
