"""Which fuse guards a lead: the smallest limit of current between it and its source.

Of leads side by side each is fed from both ends: a short in one is fed over the others too, so what guards it is the
largest of what guards any of them.
"""

from __future__ import annotations

import math

from topo.frozen import frozen
from topo.model.facts import Basis, value_of
from topo.model.feeds import Converter, Lead, Supply
from topo.model.rig import Rig
from topo.power.tree import FedBranch, FedTree

TRIPS_AT = 1.25
"""Times its rating at which a mains supply limits itself (makers print 105 to 150 %; from memory, verify)."""


@frozen
class Guard:
    """What limits the current in a lead: amps, and the name of the lead, block, channel or supply that does; None where
    nothing does. `maybe_less`: a box between may limit its channel to less, which nobody stated."""

    amps: float | None
    name: str | None
    maybe_less: bool = False
    basis: Basis = "declared"


def guard_of(rig: Rig, tree: FedTree, index: int, limit_a: float | None) -> Guard:
    """The guard of a branch of a tree: the smallest fuse on its way, or its source's own limit where there is none, or
    where that alone is no more than what the wire takes (`limit_a`)."""
    branch = tree.branches[index]
    before, maybe_before = _before(rig, tree, branch.above)
    ways = [_own(rig, lead) for lead, _ in branch.strands]
    found = [min((*limits, *before), default=None) for limits in ways]
    maybe_less = not all(ways) and (maybe_before or _is_box(rig, branch.lead.source))
    own = _of_source(tree.source)
    known = [each for each in found if each is not None]
    smallest = max(known) if len(known) == len(found) else None
    if own is not None and (smallest is None or (limit_a is not None and own <= limit_a < smallest[0])):
        return Guard(own, tree.source.id, maybe_less, "assumed")
    return Guard(None, None, maybe_less) if smallest is None else Guard(*smallest, maybe_less)


def _before(rig: Rig, tree: FedTree, index: int) -> tuple[list[tuple[float, str]], bool]:
    """The limits between a branch and its source, the branches above it alone; and whether a box nobody described is
    the first thing there."""
    found: list[tuple[float, str]] = []
    maybe_less = False
    while index >= 0:
        branch = tree.branches[index]
        limit = _through(rig, branch)
        if limit is not None:
            found.append(limit)
        elif not found and any(_is_box(rig, lead.source) for lead, _ in branch.strands):
            maybe_less = True
        index = branch.above
    return found, maybe_less


def _through(rig: Rig, branch: FedBranch) -> tuple[float, str] | None:
    """What a branch lets through: of leads side by side all their fuses together, None where one has none."""
    limits = [min(_own(rig, lead), default=None) for lead, _ in branch.strands]
    known = [each for each in limits if each is not None]
    if len(known) < len(limits):
        return None
    return known[0] if len(known) == 1 else (math.fsum(amps for amps, _ in known), branch.lead.id)


def _own(rig: Rig, lead: Lead) -> list[tuple[float, str]]:
    """A lead's own fuse, and what limits the way it begins at."""
    fuse, way = value_of(lead.facts.fuse_amps), _of_way(rig, lead)
    return [*([] if fuse is None else [(fuse, lead.id)]), *([] if way is None else [way])]


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
