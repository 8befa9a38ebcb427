"""The live tree: physical things, each plugged into a thing or the computer. Knows nothing of any rig file."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import TYPE_CHECKING

from topo.model.boxes import Box, box_of, joined
from topo.model.comparison import Thing
from topo.model.kinds import kind_of
from topo.model.rig import COMPUTER

if TYPE_CHECKING:
    from topo.model.sighting import HubPort, Scan, Sighting

DEEPEST_CHAIN = 16
"""Ports of a chain; USB has at most 7 tiers (USB 2.0 4.1.1). What claims to be deeper hangs nowhere."""

FIXED_TYPES = ("hardwired",)
"""Connect types of ports whose device is soldered in."""


class LiveTree:
    """The things of a scan, parents before children, in the order of buses and ports."""

    def __init__(self, scan: Scan) -> None:
        self.scan = scan
        self._ports = {(port.hub, port.number): port for port in scan.ports}
        self._known = {seen.id: seen for seen in scan.sightings}
        self.things = self._things()

    def _things(self) -> tuple[Thing, ...]:
        boxes = joined(self.scan)
        home = box_of(boxes)
        things = [self._thing(box, home) for box in boxes if box.kind != "root"]
        return tuple(sorted(things, key=lambda thing: len(thing.seen[0].ports)))

    def _thing(self, box: Box, home: dict[str, Box]) -> Thing:
        seen = tuple(self._known[member] for member in box.members)
        first = seen[0]
        parent = home.get(first.parent or "")
        above = None if parent is None else COMPUTER if parent.kind == "root" else parent.members[0]
        if len(first.ports) > DEEPEST_CHAIN:
            above = None
        main = seen[0] if box.kind == "hub" else seen[-1]
        word = "hub" if box.kind == "hub" else kind_of(main, self.scan).word
        return Thing(box.members[0], "hub" if box.kind == "hub" else "device", seen, above,
                     self._number(first) if above is not None else None, word, self._built_in(seen))

    def _number(self, seen: Sighting) -> int | None:
        """The port it is in, by the number on the USB 2 side where the system tells which that is."""
        if not seen.ports:
            return None
        port = self.port_of(seen)
        if port is not None and port.peer is not None and (seen.speed_mbit or 0) >= 5000:
            return port.peer[1]
        return seen.ports[-1]

    def _built_in(self, seen: Iterable[Sighting]) -> bool:
        for side in seen:
            port = self.port_of(side)
            if side.removable == "fixed" or (port is not None and port.connect_type in FIXED_TYPES):
                return True
        return False

    def port_of(self, seen: Sighting) -> HubPort | None:
        """What the scan tells of the port a sighting is in, or None."""
        return self._ports.get((seen.parent or "", seen.ports[-1])) if seen.ports else None

    @cached_property
    def _below(self) -> dict[str, tuple[Thing, ...]]:
        below: dict[str, list[Thing]] = {}
        for thing in self.things:
            if thing.above is not None:
                below.setdefault(thing.above, []).append(thing)
        return {key: tuple(sorted(found, key=_place)) for key, found in below.items()}

    def below(self, key: str) -> tuple[Thing, ...]:
        """What is plugged into a thing, or into the computer, in the order of bus and port."""
        return self._below.get(key, ())

    @cached_property
    def loose(self) -> tuple[Thing, ...]:
        """Things whose place is not told."""
        return tuple(thing for thing in self.things if thing.above is None)


def _place(thing: Thing) -> tuple[int, int, str]:
    return (thing.seen[0].bus, thing.port or 0, thing.key)
