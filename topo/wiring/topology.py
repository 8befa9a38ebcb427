"""Who is plugged into what, at which speed, and what limits it. The one class behind which the graph lives.

A USB 3 port, hub or cable has two sides: the USB 2 pair and the SuperSpeed pairs. A device uses one of them: the
best that every leg of its path carries. The tree is that of `model.tree`, with a leg for each plug; the networkx graph
is built only for what needs one (drawing, plan B, tests), because importing networkx takes longer than a whole check.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import TYPE_CHECKING

from topo.errors import CommandError
from topo.frozen import frozen
from topo.model.facts import value_of
from topo.model.outcome import Limit
from topo.model.plain import plain
from topo.model.rig import COMPUTER, Computer, Device, Hub, Part, Rig, Socket
from topo.model.speed import Speed
from topo.model.tree import Tree

if TYPE_CHECKING:
    import networkx

    from topo.model.records import CableFacts


@frozen
class Leg:
    """One cable: from a part up to a socket of the part above. `carries` is the best speed that reaches the part."""

    part: str
    above: str
    socket: Socket
    cable: CableFacts
    carries: Speed

    @property
    def plug(self) -> str:
        """PART/SOCKET, as in the rig file."""
        return f"{self.above}/{self.socket.name}"


@frozen
class Translator:
    """The transaction translator that serves a slow device: its hub, and its port where each port has its own.

    `hub` is the computer where the device hangs on a root port; such a port needs no translator, and is a full-speed
    bus of its own.
    """

    hub: str
    port: str | None
    assumed: bool

    @property
    def id(self) -> str:
        """A name unique within the rig."""
        return f"translator:{self.hub}" + (f"/{self.port}" if self.port is not None else "")


class Topology:
    """The wired rig. Raises CommandError for loops; parts with no plug, or above an unknown part, are not wired.

    `like` is that of a rig which has some of the same parts: their legs are taken over as far as all above is the same.
    """

    def __init__(self, rig: Rig, like: Topology | None = None) -> None:
        self.rig = rig
        self._parts: dict[str, Part] = {part.id: part for part in rig.parts}
        self.tree = Tree({part.id: part.plug for part in rig.parts})
        if looped := self.tree.loops():
            raise CommandError("these parts are plugged into each other in a loop: " + ", ".join(map(plain, looped)))
        self._legs: dict[str, Leg] = {}
        self._speeds: dict[str, Speed | None] = {}
        same = self._taken_over(like) if like is not None else set()
        for name in self.tree.wired[1:]:
            if name not in same:
                self._legs[name] = self._leg(self._parts[name])
        self._paths: dict[str, tuple[Leg, ...]] = {}

    def _taken_over(self, like: Topology) -> set[str]:
        """The parts whose leg and all above is as in another rig; their legs and speeds are taken from there."""
        same = {COMPUTER} if like.rig.computer is self.rig.computer else set()
        for name in self.tree.wired[1:]:
            leg = like._legs.get(name)
            if leg is not None and leg.above in same and like._parts[name] is self._parts[name]:
                same.add(name)
                self._legs[name] = leg
                if name in like._speeds:
                    self._speeds[name] = like._speeds[name]
        return same

    def _leg(self, part: Part) -> Leg:
        assert part.plug is not None
        above = self._parts[part.plug.part]
        socket = above.socket(part.plug.socket) or Socket(part.plug.socket, Speed.HIGH, basis="assumed")
        carries = min(socket.speed, _cable_speed(part.cable))
        if not isinstance(above, Computer):
            carries = min(carries, self.passes_on(above))
        if part.leg_speed is not None:
            carries = Speed.from_word(part.leg_speed.value)
        return Leg(part.id, above.id, socket, part.cable, carries)

    def passes_on(self, above: Hub | Device) -> Speed:
        """The best speed a hub, or a device with a hub inside, can pass on: what reaches it on a side that is alive."""
        reaches = self._legs[above.id].carries
        own = above.inner_speed
        if own.is_superspeed and reaches.is_superspeed:
            return min(own, reaches)
        return min(own, reaches, Speed.HIGH)

    # -- the tree ---------------------------------------------------------------------------------------------------

    def part(self, part_id: str) -> Part:
        """The part with that id. Raises KeyError."""
        return self._parts[part_id]

    @property
    def wired(self) -> tuple[str, ...]:
        """Ids of all parts that reach the computer, itself first, depth first in the order of the file."""
        return self.tree.wired

    def leg(self, part_id: str) -> Leg | None:
        """The leg of a part, or None for the computer and for parts that are not wired."""
        return self._legs.get(part_id)

    def path(self, part_id: str) -> tuple[Leg, ...]:
        """The legs from a part up to the computer. Empty for the computer and for parts that are not wired."""
        if part_id not in self._paths:
            wired = part_id in self._legs
            self._paths[part_id] = tuple(self._legs[name] for name in self.tree.path(part_id)) if wired else ()
        return self._paths[part_id]

    def children(self, part_id: str) -> tuple[str, ...]:
        """What is plugged into a part, in the order of the file."""
        return self.tree.children(part_id)

    def below(self, part_id: str) -> tuple[str, ...]:
        """Every part whose path goes through this one, depth first, without itself."""
        return self.tree.below(part_id)

    def common_ancestor(self, part_ids: Iterable[str]) -> str | None:
        """The lowest part that all of these hang on (or are); None where one of them is not wired."""
        return self.tree.common_ancestor(part_ids)

    def hubs_above(self, part_id: str) -> tuple[str, ...]:
        """What stands between a part and the computer and counts as a hub: hubs, cameras' hubs, active USB cables."""
        found = []
        for leg in self.path(part_id):
            if value_of(leg.cable.active):
                found.append(leg.part)
            if leg.above != COMPUTER and leg.socket.kind == "usb":
                found.append(leg.above)
        return tuple(found)

    def free_sockets(self) -> tuple[tuple[str, Socket], ...]:
        """Sockets nothing is plugged into, on parts that reach the computer: (part id, socket), in rig order."""
        plugs = (*(part.plug for part in self.rig.parts), *self.rig.reserved)
        used = {(plug.part, plug.socket) for plug in plugs if plug is not None}
        return tuple(
            (part.id, socket)
            for part in self.rig.parts
            if part.id == COMPUTER or part.id in self._legs
            for socket in part.sockets
            if (part.id, socket.name) not in used
        )

    # -- speed ------------------------------------------------------------------------------------------------------

    def could_be(self, part_id: str) -> Speed | None:
        """The best speed the part itself can run at, or None where it is no USB device."""
        part = self._parts[part_id]
        leg = self._legs.get(part_id)
        word = value_of(part.own_speed)
        if word is None or leg is None or leg.socket.kind != "usb":
            return None
        return Speed.from_word(word)

    def speed(self, part_id: str) -> Speed | None:
        """The speed the part gets: the best of its own that every leg of its path carries, on one of the two sides."""
        if part_id not in self._speeds:
            self._speeds[part_id] = self._speed(part_id)
        return self._speeds[part_id]

    def _speed(self, part_id: str) -> Speed | None:
        own = self.could_be(part_id)
        if own is None:
            return None
        carries = self._legs[part_id].carries
        if own.is_superspeed and carries.is_superspeed:
            return min(own, carries)
        return min(own, carries, Speed.HIGH)

    def limit(self, part_id: str) -> Limit | None:
        """The first element, from the computer down, that keeps a part below its own best speed."""
        own, gets = self.could_be(part_id), self.speed(part_id)
        if own is None or gets is None or gets >= own:
            return None
        for leg in reversed(self.path(part_id)):
            if (limit := self._limit_of_leg(leg, own)) is not None:
                return limit
        return None

    def _limit_of_leg(self, leg: Leg, own: Speed) -> Limit | None:
        slow = leg.socket.speed
        if self._parts[leg.part].leg_speed is not None and leg.carries < own:
            name = plain(leg.part)
            return Limit(leg.part, "cable", leg.carries, f"{name} is seen at {leg.carries.label}")
        if leg.above == COMPUTER and slow < own:
            return Limit(leg.part, "port", slow, f"the socket {plain(leg.plug)} carries {slow.label}")
        if leg.above != COMPUTER and slow < own:
            return Limit(leg.above, "hub", slow, f"{plain(leg.above)} is a {slow.label} hub")
        if _cable_speed(leg.cable) < own:
            return Limit(leg.part, "cable", Speed.HIGH, f"the cable of {plain(leg.part)} is a USB 2 cable")
        return None

    # -- sharing ----------------------------------------------------------------------------------------------------

    def root_socket(self, part_id: str) -> Socket | None:
        """The computer's socket a part's path ends at."""
        path = self.path(part_id)
        return path[-1].socket if path else None

    def usb2_bus(self, part_id: str) -> tuple[str, bool] | None:
        """The 480 Mb/s bus of a part's path, and whether that is assumed (nobody said which sockets share one)."""
        root = self.root_socket(part_id)
        if root is None or root.controller is None:
            return None
        if root.usb2_bus is None:
            return f"usb2:{root.controller}", True
        return f"usb2:{root.controller}/{root.usb2_bus}", False

    def translator(self, part_id: str) -> Translator | None:
        """The translator that serves a low- or full-speed part; None for faster parts and parts that are not wired."""
        gets = self.speed(part_id)
        if gets is None or gets >= Speed.HIGH:
            return None
        for leg in self.path(part_id):
            above = self._parts[leg.above]
            if isinstance(above, Computer):
                return Translator(COMPUTER, leg.socket.name, False)
            if leg.socket.speed >= Speed.HIGH and self._legs[above.id].carries >= Speed.HIGH:
                told = above.inner_translators
                per_port = value_of(told) == "per-port"
                return Translator(above.id, leg.socket.name if per_port else None, told is None)
        return None

    @cached_property
    def graph(self) -> networkx.DiGraph[str]:
        """The rig as a directed graph, computer → controller → port → hub → port → device, in the order of the file.

        Nodes carry `kind` (computer, controller, port, hub, device); edges into a part carry its `leg`.
        """
        import networkx

        graph: networkx.DiGraph[str] = networkx.DiGraph(name=self.rig.name)
        graph.add_node(COMPUTER, kind="computer")
        for socket in self.rig.computer.sockets:
            controller = f"controller:{socket.controller}"
            if socket.controller is not None and controller not in graph:
                graph.add_node(controller, kind="controller")
                graph.add_edge(COMPUTER, controller)
            port = f"{COMPUTER}/{socket.name}"
            graph.add_node(port, kind="port")
            graph.add_edge(controller if socket.controller is not None else COMPUTER, port)
        for name in self.wired[1:]:
            leg = self._legs[name]
            if leg.plug not in graph:
                graph.add_node(leg.plug, kind="port")
                graph.add_edge(leg.above, leg.plug)
            graph.add_node(name, kind=self._parts[name].kind)
            graph.add_edge(leg.plug, name, leg=leg)
        return graph


def _cable_speed(cable: CableFacts) -> Speed:
    """The best a cable carries: a USB 2 cable has no SuperSpeed pairs; an unknown one is assumed to carry all."""
    return Speed.HIGH if value_of(cable.grade) == "usb2" else Speed.SUPER_PLUS
