"""Which devices moves make slower: a plan never makes a device slower than it is now.

Slower is a lower USB speed than the rig as it stands gives the device, by its own move or by that of a hub above it. A
device's speed hangs on nothing but its way up, so each way is computed once, on a rig with only the parts of that way.
"""

from __future__ import annotations

from collections.abc import Mapping

from topo.frozen import replace
from topo.model.rig import COMPUTER, Plug, Rig
from topo.model.speed import Speed
from topo.wiring.topology import Topology

Way = tuple[tuple[str, str, str], ...]
"""(part, part above, socket there) from a device up to the computer."""


class Speeds:
    """The speeds devices have now, and which of them moves make slower."""

    def __init__(self, topology: Topology) -> None:
        self.topology, self.rig = topology, topology.rig
        self.now = {d.id: speed for d in self.rig.devices if (speed := topology.speed(d.id)) is not None}
        self._known: dict[Way, Speed | None] = {}

    def slower(self, assigned: Mapping[str, Plug]) -> list[frozenset[str]]:
        """For each device that is slower once parts are in other sockets, the parts of its way up: it stays so until
        one of them moves. The moves must form no loop."""
        touched = dict.fromkeys(below for part in assigned for below in (part, *self.topology.below(part)))
        return [
            frozenset(part for part, _, _ in way)
            for way in (self._way(name, assigned) for name in touched if name in self.now)
            if self._at(way) < self.now[way[0][0]]
        ]

    def _way(self, name: str, assigned: Mapping[str, Plug]) -> Way:
        way = []
        while name != COMPUTER:
            plug = assigned.get(name) or self.topology.part(name).plug
            assert plug is not None
            way.append((name, plug.part, plug.socket))
            name = plug.part
        return tuple(way)

    def _at(self, way: Way) -> int:
        """The speed of the first part of a way, -1 where it has none."""
        if way not in self._known:
            self._known[way] = Topology(_only(self.rig, way)).speed(way[0][0])
        speed = self._known[way]
        return -1 if speed is None else speed


def made_slower(before: Topology, after: Topology, among: tuple[str, ...] | None = None) -> tuple[str, ...]:
    """Devices of both rigs (or those of them in `among`) that run slower in the second, in the order of the first."""
    here = {device.id for device in after.rig.devices}
    was = {device.id: before.speed(device.id) for device in before.rig.devices if device.id in here}
    return tuple(
        name
        for name, speed in was.items()
        if speed is not None and (among is None or name in among)
        if (now := after.speed(name)) is None or now < speed
    )


def _only(rig: Rig, way: Way) -> Rig:
    plugs = {part: Plug(above, socket) for part, above, socket in way}
    return replace(
        rig,
        hubs=tuple(replace(part, plug=plugs[part.id]) for part in rig.hubs if part.id in plugs),
        devices=tuple(replace(part, plug=plugs[part.id]) for part in rig.devices if part.id in plugs),
        supplies=(),
        leads=(),
    )
