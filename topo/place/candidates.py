"""Sockets a part could go to: free, of the right kind, not below itself, within USB's depth, within reach.

Sockets on one part that differ in nothing the computation sees form a class; one of each class is enough to try.
"""

from __future__ import annotations

from topo.frozen import frozen, replace
from topo.model.facts import value_of
from topo.model.rig import COMPUTER, Part, Socket
from topo.usb.limits import MOST_HUBS_IN_A_ROW
from topo.wiring.reach import Reach, reach
from topo.wiring.topology import Topology


@frozen
class SocketClass:
    """Sockets of one part that are alike: same kind, speed, controller and bus (and translator: it follows)."""

    above: str
    kind: str
    speed: int
    controller: str | None
    usb2_bus: str | None

    @classmethod
    def of(cls, part: Part, socket: Socket) -> SocketClass:
        """The class of a socket of a part."""
        return cls(part.id, socket.kind, int(socket.speed), socket.controller, socket.usb2_bus)


@frozen
class Candidate:
    """A socket a part could go to, how many more like it are free, and whether the cable reaches."""

    above: str
    socket: Socket
    alike: int
    reach: Reach

    @property
    def plug(self) -> str:
        """PART/SOCKET."""
        return f"{self.above}/{self.socket.name}"


_USB_WAYS = ("bulk", "iso", "hid", "storage", "network", "audio")
"""Ways to move data that a bare serial line does not have."""


def kind_needed(topology: Topology, part: Part) -> str:
    """The kind of socket a part's plug fits: what it is in now, unless that can't serve it; or USB."""
    leg = topology.leg(part.id) if part.plug is not None else None
    needs_usb = part.kind == "hub" or part.sends_frames or part.interface in _USB_WAYS
    return "usb" if leg is None or needs_usb else leg.socket.kind


def candidates(
    topology: Topology,
    part: Part,
    cable_m: float | None,
    near: str | None,
    likely_near: str | None = None,
    kind: str | None = None,
) -> tuple[tuple[Candidate, ...], tuple[tuple[str, str], ...]]:
    """Free sockets for a part, one of each class, in the order of the rig; and (plug, reason) of those ruled out.

    `cable_m` is the length of the cable at hand, None where it is not known; `near` the part a new device sits beside;
    `likely_near` the one it is taken to sit beside where nobody said, which tells sockets in another place and no more;
    `kind` the kind of socket its plug fits, where the topology does not tell.
    """
    placed = part.plug is not None and topology.leg(part.id) is not None
    below = {part.id, *topology.below(part.id)} if placed else set()
    start, beside = (part.id, part.plug.part) if placed and part.plug is not None else (None, near)
    kind, height = kind or kind_needed(topology, part), _height(topology, part)
    found: dict[SocketClass, Candidate] = {}
    ruled_out: list[tuple[str, str]] = []
    for above, socket in topology.free_sockets():
        plug = f"{above}/{socket.name}"
        if above in below:
            continue
        key = SocketClass.of(topology.part(above), socket)
        if key in found:
            old = found[key]
            found[key] = Candidate(old.above, old.socket, old.alike + 1, old.reach)
            continue
        if socket.kind != kind:
            ruled_out.append((plug, f"it is a {socket.kind} socket"))
            continue
        depth = len(topology.hubs_above(above)) + (0 if above == COMPUTER else 1) + height
        if depth > MOST_HUBS_IN_A_ROW:
            ruled_out.append((plug, f"it would be {depth} hubs deep, and USB allows {MOST_HUBS_IN_A_ROW}"))
            continue
        way = reach(topology, start, beside, above, cable_m)
        if beside is None and (guess := reach(topology, None, likely_near, above, cable_m)).across is not None:
            way = guess if guess.verdict == "reaches" else replace(guess, verdict="elsewhere")
        if way.verdict == "too-short":
            ruled_out.append((plug, f"a {cable_m:g} m cable cannot reach: at least {way.least_m:g} m are needed"))
            continue
        found[key] = Candidate(above, socket, 0, way)
    return tuple(found.values()), tuple(ruled_out)


def _height(topology: Topology, part: Part) -> int:
    """Hubs in a row that a part brings with it: an active cable, itself if it is a hub, and what hangs on it."""
    placed = part.plug is not None and topology.leg(part.id) is not None
    children = [topology.part(name) for name in topology.children(part.id)] if placed else []
    own = 1 if part.kind == "hub" or (part.has_hub and children) else 0
    own += int(value_of(part.cable.active, False))
    return own + max((_height(topology, child) for child in children), default=0)
