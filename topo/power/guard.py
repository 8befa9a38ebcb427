"""Which fuse guards a lead: the smallest limit of current between it and its source."""

from __future__ import annotations

from topo.frozen import frozen
from topo.model.facts import value_of
from topo.model.feeds import Converter, Lead, Supply
from topo.model.rig import Rig
from topo.power.tree import FedTree

TRIPS_AT = 1.25
"""Times its rating at which a mains supply limits itself (makers print 105 to 150 %; from memory, verify)."""


@frozen
class Guard:
    """What limits the current in a lead: amps, and the name of the lead, block, channel or supply that does; None where
    nothing does. `maybe_less`: a box between may limit its channel to less, which nobody stated."""

    amps: float | None
    name: str | None
    maybe_less: bool = False


def guard_of(rig: Rig, tree: FedTree, index: int, limit_a: float | None) -> Guard:
    """The guard of a branch of a tree: the smallest fuse on its way, or its source's own limit where there is none, or
    where that alone is no more than what the wire takes (`limit_a`)."""
    found: list[tuple[float, str]] = []
    maybe_less = False
    while index >= 0:
        lead = tree.branches[index].lead
        fuse = value_of(lead.facts.fuse_amps)
        if fuse is not None:
            found.append((fuse, lead.id))
        limit = _of_way(rig, lead)
        if limit is not None:
            found.append(limit)
        elif fuse is None and not found and _is_box(rig, lead.source):
            maybe_less = True
        index = tree.branches[index].above
    own = _of_source(tree.source)
    if own is not None and (not found or (limit_a is not None and own <= limit_a < min(found)[0])):
        found = [(own, tree.source.id)]
    if not found:
        return Guard(None, None, maybe_less)
    amps, name = min(found, key=lambda each: each[0])
    return Guard(amps, name, maybe_less)


def _of_way(rig: Rig, lead: Lead) -> tuple[float, str] | None:
    """What limits the way out of a block or box that a lead begins at."""
    for block in rig.blocks:
        if block.id == lead.source and block.facts.fuse_amps is not None:
            return block.facts.fuse_amps.value, block.id
    for box in rig.boxes:
        if box.id == lead.source:
            channel = box.channel(lead.socket)
            limits = [fact.value for fact in (channel.amps, channel.fuse_amps) if fact is not None]
            if limits:
                return min(limits), f"{box.id}/{lead.socket}" if lead.socket else box.id
    return None


def _is_box(rig: Rig, name: str) -> bool:
    """Boxes with electronics may limit each way; a terminal block does not."""
    return any(each.id == name for each in (*rig.boxes, *rig.parts))


def _of_source(source: Supply | Converter) -> float | None:
    if isinstance(source, Converter):
        amps = value_of(source.facts.amps)
        return None if amps is None else amps * TRIPS_AT
    if value_of(source.facts.kind) != "mains" or source.amps is None:
        return None
    return source.amps * TRIPS_AT
