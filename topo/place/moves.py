"""Where parts can move: classes of sockets, which of them a part fits, and concrete sockets for a set of moves."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from topo.frozen import frozen, replace
from topo.model.facts import value_of
from topo.model.plain import plain
from topo.model.rig import COMPUTER, Plug, Rig
from topo.place.candidates import SocketClass, kind_needed
from topo.place.slower import Speeds
from topo.wiring.reach import NEVER_SENT, Reach, reach
from topo.wiring.topology import Topology

Moves = Mapping[str, SocketClass]
"""Where each moved part goes: part id → class of sockets."""


@frozen
class Blocked:
    """Moves that do not fit as they are, and the parts one of which has to move besides for them to fit."""

    parts: frozenset[str]


class Ground:
    """The rig that moves start from: its parts in order, the classes of its sockets, what may move and where to."""

    def __init__(self, rig: Rig, pinned: frozenset[str]) -> None:
        self.rig = rig
        self.topology = Topology(rig)
        self.speeds = Speeds(self.topology)
        self.order = {part.id: index for index, part in enumerate(rig.parts)}
        self.parts = {part.id: part for part in rig.parts}
        wired = [part for part in rig.parts if self.topology.leg(part.id) is not None]
        self.above = {part.id: leg.above for part in wired if (leg := self.topology.leg(part.id))}
        self.movable = frozenset(part.id for part in wired if part.id not in pinned)
        self.classes: dict[SocketClass, list[str]] = {}
        for part in (rig.computer, *wired):
            for socket in part.sockets:
                self.classes.setdefault(SocketClass.of(part, socket), []).append(socket.name)
        self.home = {
            part.id: SocketClass.of(self.topology.part(leg.above), leg.socket)
            for part in wired
            if (leg := self.topology.leg(part.id))
        }
        holders: dict[tuple[str, str], list[str]] = {}
        for part in rig.parts:
            if part.plug is not None:
                holders.setdefault((part.plug.part, part.plug.socket), []).append(part.id)
        self.holders = holders
        self.doubled = frozenset(name for names in holders.values() if len(names) > 1 for name in names)
        """Parts said to be in a socket that another part is in as well."""
        self.targets = cache(self._targets)
        self.reach = cache(self._reach)

    def _targets(self, name: str) -> tuple[SocketClass, ...]:
        """The classes a part may go to at all, in the order of the rig: the right kind, another than its own (or its
        own where it shares its socket), not on itself, not slower than the part is now, within reach of its cable."""
        part = self.parts[name]
        kind, least = kind_needed(self.topology, part), self.speeds.now.get(name)
        return tuple(
            target
            for target in self.classes
            if target.kind == kind
            and target.above != name
            and (target != self.home[name] or name in self.doubled)
            and (least is None or target.speed >= least)
            and self.reach(name, target.above).verdict not in NEVER_SENT
        )

    def _reach(self, name: str, above: str) -> Reach:
        part = self.parts[name]
        return reach(self.topology, name, self.above[name], above, value_of(part.cable.length_m))

    def assign(self, moves: Moves) -> dict[str, Plug] | Blocked:
        """Gives each moved part the first socket of its class that nobody keeps; else who keeps them, or is in a loop
        with it."""
        taken: set[tuple[str, str]] = set()
        assigned: dict[str, Plug] = {}
        for name in sorted(moves, key=self.order.__getitem__):
            target, own = moves[name], self.parts[name].plug
            assert own is not None
            sockets = [(target.above, socket) for socket in self.classes[target]]
            free = next((s for s in sockets if s not in taken and not self._kept(s, moves)), None)
            if free is None:
                return Blocked(frozenset(who for s in sockets for who in self._kept(s, moves)))
            taken.add(free)
            assigned[name] = Plug(*free, own.place)
        for name in assigned:
            if loop := self._loop(name, assigned):
                return Blocked(frozenset(loop))
        return assigned

    def _kept(self, socket: tuple[str, str], moves: Moves) -> list[str]:
        return [name for name in self.holders.get(socket, ()) if name not in moves]

    def _loop(self, name: str, assigned: Mapping[str, Plug]) -> list[str]:
        """The parts on the way up from a part that comes back to it; empty where the way ends at the computer."""
        way, here = [name], name
        while True:
            here = assigned[here].part if here in assigned else self.above[here]
            if here == COMPUTER:
                return []
            if here in way:
                return way
            way.append(here)

    def after(self, assigned: Mapping[str, Plug]) -> Rig:
        """The rig with parts in other sockets."""

        return replace(
            self.rig,
            hubs=tuple(replace(p, plug=assigned[p.id]) if p.id in assigned else p for p in self.rig.hubs),
            devices=tuple(replace(p, plug=assigned[p.id]) if p.id in assigned else p for p in self.rig.devices),
        )

    def to_try(self, assigned: Mapping[str, Plug]) -> tuple[str, ...]:
        """Moved parts whose cable may not reach, with how much may be needed, in words."""
        words = []
        for name, plug in assigned.items():
            way = self.reach(name, plug.part)
            if way.verdict == "try":
                words.append(
                    f"{plain(name)}: up to {way.most_m:.2g} m may be needed, its cable has "
                    f"{value_of(self.parts[name].cable.length_m, 0.0):g} m"
                )
        return tuple(words)
