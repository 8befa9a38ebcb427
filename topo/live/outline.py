"""The physical outline of a scan: which box is plugged into which socket of which box. For the tree and the draft.

A socket of the computer is a root port with its peer on the SuperSpeed side, where the kernel tells the peer.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from topo.live.hubs import Box, box_of, joined
from topo.model.sighting import HubPort, Scan, Sighting

PortKey = tuple[str, int]
"""(hub id, port number)."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A box in the outline: what it is plugged into (None: not known) and through which port, USB 2 side preferred."""

    box: Box
    seen: tuple[Sighting, ...]
    above: Box | None = None
    port: PortKey | None = None


@dataclass(frozen=True)
class Outline:
    """Every box that is no root, parents before children, in the order of controllers, ports."""

    scan: Scan
    boxes: tuple[Box, ...]
    entries: tuple[Entry, ...]
    ports: dict[PortKey, HubPort] = field(repr=False)

    def below(self, box: Box | None) -> tuple[Entry, ...]:
        """What is plugged into a box; of None, what hangs nowhere."""
        return tuple(e for e in self.entries if e.above is box)


def outline(scan: Scan) -> Outline:
    """The outline of a scan."""
    boxes = joined(scan)
    home = box_of(boxes)
    known = {s.id: s for s in scan.sightings}
    ports = {(p.hub, p.number): p for p in scan.ports}
    entries = []
    for box in boxes:
        if box.kind == "root":
            continue
        seen = tuple(known[member] for member in box.members)
        first = seen[0]
        above = home.get(first.parent) if first.parent else None
        key = canonical((first.parent, first.ports[-1]), ports) if above and first.parent and first.ports else None
        entries.append(Entry(box, seen, above, key))
    depth = {id(e): len(e.seen[0].ports) for e in entries}
    order = {id(box): n for n, box in enumerate(boxes)}
    entries.sort(key=lambda e: (depth[id(e)], order[id(e.above)] if e.above else -1, e.port or ("", 0), e.box.members))
    return Outline(scan, boxes, tuple(entries), ports)


def canonical(key: PortKey, ports: dict[PortKey, HubPort]) -> PortKey:
    """The USB 2 side of a socket where the kernel tells it, else the port itself: the smaller of port and peer."""
    port = ports.get(key)
    if port is None or port.peer is None or port.peer not in ports:
        return key
    return min(key, port.peer, key=lambda k: (_bus(k[0]), k[1]))


def _bus(hub: str) -> int:
    digits = hub.removeprefix("usb").partition("-")[0]
    return int(digits) if digits.isdigit() else 0
