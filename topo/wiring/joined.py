"""Which sightings are one thing that a person holds in the hand: both sides of a USB 3 hub, a camera and its own hub.

Joined by container id where it is unique (USB 3.2 9.6.2.3: the same in both sides), else by the kernel's port peers,
else by standing at the same place of the two sides, or by being the only two of one make in sockets of one controller
(where a system numbers the sides of a socket apart): guesses, which say so.
"""

from __future__ import annotations

from typing import Literal

from topo.frozen import frozen
from topo.model.plugged import JoinedBy
from topo.model.sighting import Scan, Sighting


@frozen
class Sides:
    """One thing as seen: ids of its sightings with the USB 2 side first, and how they were joined (None: only one).

    A "device" of two sightings has a hub inside: its hub is the first, the device itself the second. A "root" holds
    the root hubs of one controller.
    """

    kind: Literal["root", "hub", "device"]
    members: tuple[str, ...]
    joined_by: JoinedBy | None = None


def joined(scan: Scan) -> tuple[Sides, ...]:
    """Every sighting, each in one thing; roots first, then in the order of the first member."""
    pairs = _pairs(scan)
    found = _roots(scan)
    taken = {member for sides in found for member in sides.members}
    for seen in scan.sightings:
        if seen.id in taken:
            continue
        other, how = pairs.get(seen.id, (None, None))
        first, last = (seen, other) if other is None or not _is_super(seen) else (other, seen)
        members = tuple(s.id for s in (first, last) if s is not None)
        whole = all(s.is_hub for s in (seen, other) if s is not None)
        found.append(Sides("hub" if whole else "device", members, how))
        taken.update(members)
    return tuple(found)


def _is_super(seen: Sighting) -> bool:
    return bool(seen.is_super)


def _roots(scan: Scan) -> list[Sides]:
    groups: dict[str, list[str]] = {}
    for seen in scan.sightings:
        if seen.is_root:
            groups.setdefault(seen.controller or seen.id, []).append(seen.id)
    return [Sides("root", tuple(ids)) for ids in groups.values()]


_Pairs = dict[str, tuple[Sighting, JoinedBy]]


def _pairs(scan: Scan) -> _Pairs:
    """The other side of each sighting that has one."""
    pairs: _Pairs = {}
    below = [s for s in scan.sightings if not s.is_root]
    slow, fast = [s for s in below if not _is_super(s)], [s for s in below if _is_super(s)]
    _by_container(slow, fast, pairs)
    _by_peer(scan, slow, fast, pairs)
    _by_place(scan, slow, fast, pairs)
    _by_make(scan, slow, fast, pairs)
    return pairs


def _join(one: Sighting, other: Sighting, how: JoinedBy, pairs: _Pairs) -> None:
    if one.id not in pairs and other.id not in pairs and one.is_hub:
        pairs[one.id] = (other, how)
        pairs[other.id] = (one, how)


def _by_container(slow: list[Sighting], fast: list[Sighting], pairs: _Pairs) -> None:
    """Only where exactly one sighting of each side has the id: some hubs are all made with the same one."""
    for one in slow:
        same = [s for s in fast if s.container_id == one.container_id and s.controller == one.controller]
        alone = sum(s.container_id == one.container_id and s.controller == one.controller for s in slow) == 1
        if one.container_id is not None and len(same) == 1 and alone:
            _join(one, same[0], "container id", pairs)


def _by_peer(scan: Scan, slow: list[Sighting], fast: list[Sighting], pairs: _Pairs) -> None:
    peer_of = {(p.hub, p.number): p.peer for p in scan.ports if p.peer is not None}
    at = {(s.parent or "", s.ports[-1]): s for s in slow if s.ports}
    for other in fast:
        peer = peer_of.get((other.parent or "", other.ports[-1])) if other.ports else None
        if peer is not None and (one := at.get(peer)) is not None:
            _join(one, other, "peer ports", pairs)


def _by_place(scan: Scan, slow: list[Sighting], fast: list[Sighting], pairs: _Pairs) -> None:
    """Hubs at the same port number below one box, where the kernel says nothing of that port's peer."""
    told = {(p.hub, p.number) for p in scan.ports if p.peer is not None}
    roots = {member: sides for sides in _roots(scan) for member in sides.members}
    for other in sorted(fast, key=lambda s: len(s.ports)):
        if not other.is_hub or not other.ports or (other.parent or "", other.ports[-1]) in told:
            continue
        for one in slow:
            if not one.is_hub or not one.ports or one.ports[-1] != other.ports[-1] or not _same_make(one, other):
                continue
            above, there = one.parent or "", other.parent or ""
            same_root = above in roots and roots[above] is roots.get(there)
            below_one_hub = above in pairs and pairs[above][0].id == there
            if (same_root or below_one_hub) and (above, one.ports[-1]) not in told:
                _join(one, other, "same place", pairs)


def _same_make(one: Sighting, other: Sighting) -> bool:
    """True where the vendors are the same, or that of one is not told: two hubs cannot be in one socket."""
    return one.vendor_id == other.vendor_id or None in (one.vendor_id, other.vendor_id)


def _by_make(scan: Scan, slow: list[Sighting], fast: list[Sighting], pairs: _Pairs) -> None:
    """The only hubs of one vendor on the two sides of a root hub that has both; and below such, at one number."""
    told = {(p.hub, p.number) for p in scan.ports if p.peer is not None}

    def free(group: list[Sighting], like: Sighting) -> list[Sighting]:
        return [
            s for s in group
            if s.is_hub and s.parent == like.parent and s.vendor_id == like.vendor_id and s.id not in pairs
        ]  # fmt: skip

    roots = {seen.id for seen in scan.sightings if seen.is_root}
    for other in fast:
        if not other.is_hub or other.parent not in roots or other.vendor_id is None:
            continue
        ones, others = free(slow, other), free(fast, other)
        apart = all(s.is_super is False and (s.parent or "", s.ports[-1]) not in told for s in ones)
        if len(ones) == len(others) == 1 and others[0] is other and apart:
            _join(ones[0], other, "same make", pairs)
    _by_place(scan, slow, fast, pairs)
