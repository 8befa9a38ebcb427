"""The 12 V side as trees: every source with what hangs on it, lead by lead. Nothing is solved here.

A lead that begins at nothing fed, or ends at something fed already, belongs to no tree. A converter ends one tree and
begins another.
"""

from __future__ import annotations

from topo.frozen import frozen
from topo.model.facts import Range3, value_of
from topo.model.feeds import Converter, Lead, PowerBox, Supply, TerminalBlock
from topo.model.power import OhmStep
from topo.model.rig import Rig
from topo.power.battery import inside_ohm, source_volts
from topo.power.copper import contact_ohm, fuse_ohm, wire_ohm_per_m

BOX_MILLIOHM = Range3(5.0, 20.0, 50.0)
"""From a box's input to an output, where nobody says (from memory, verify)."""

BLOCK_CONTACT_MILLIOHM = Range3(1.0, 5.0, 20.0)
"""A contact of a terminal block: 20 at most (three sheets); the rest our own, no source."""


@frozen
class FedBranch:
    """A lead in its tree: what it hangs on (-1: the source itself), what costs volts on it (None: not known), metres
    to where it begins."""

    lead: Lead
    above: int
    steps: tuple[OhmStep, ...] | None
    starts_m: float


@frozen
class FedTree:
    """A source and its branches, each after the one it hangs on. `doubled`: leads that end at what is fed already."""

    source: Supply | Converter
    volts: Range3
    inside: Range3
    branches: tuple[FedBranch, ...]
    doubled: tuple[Lead, ...] = ()


def fed_by(rig: Rig, source: str) -> tuple[str, ...]:
    """All that hangs on a source (or part), through any leads, blocks and converters, in the order of the leads."""
    found: list[str] = []
    pending = [source]
    while pending:
        here = pending.pop(0)
        for lead in rig.leads:
            if lead.source == here:
                new = [end for end in lead.ends if end not in found and end != source]
                found += new
                pending += new
    return tuple(found)


def trees(rig: Rig) -> tuple[FedTree, ...]:
    """Every tree: those of the supplies in the order of the file, each before the trees of converters on it."""
    found: list[FedTree] = []
    converters = {each.id: each for each in rig.converters}
    fed: set[str] = set()
    for supply in rig.supplies:
        pending: list[Supply | Converter] = [supply]
        while pending:
            tree = _tree(rig, pending.pop(0), fed)
            found.append(tree)
            ends = (end for branch in tree.branches for end in branch.lead.ends)
            pending += [converters[end] for end in ends if end in converters]
    return tuple(found)


def _tree(rig: Rig, source: Supply | Converter, fed: set[str]) -> FedTree:
    """The tree of one source; what it feeds is added to `fed`."""
    between = _Between(rig)
    branches: list[FedBranch] = []
    doubled: list[Lead] = []
    pending = [(source.id, -1, 0.0)]
    while pending:
        name, above, metres = pending.pop(0)
        for lead in rig.leads:
            if lead.source != name:
                continue
            if lead.to in fed:
                doubled.append(lead)
                continue
            fed.update(lead.ends)
            branches.append(FedBranch(lead, above, between.steps(lead), metres))
            further = metres + value_of(lead.facts.length_m, 0.0)
            pending += [(end, len(branches) - 1, further) for end in lead.ends if end not in between.converters]
    if isinstance(source, Converter):
        volts, inside = Range3.of(source.volts), Range3.of(0.0)
    else:
        volts, inside = source_volts(source), inside_ohm(source)
    return FedTree(source, volts, inside, tuple(branches), tuple(doubled))


class _Between:
    """What stands between leads, by name."""

    def __init__(self, rig: Rig) -> None:
        self.blocks = {each.id: each for each in rig.blocks}
        self.boxes = {each.id: each for each in rig.boxes}
        self.converters = {each.id for each in rig.converters}
        self.devices = {each.id for each in rig.devices} | {each.id for each in rig.hubs}
        self.air = value_of(rig.night.facts.coldest_celsius)

    def steps(self, lead: Lead) -> tuple[OhmStep, ...] | None:
        """What costs volts on a lead, in order; None where its length or gauge is not known."""
        facts = lead.facts
        each, length = wire_ohm_per_m(facts, self.air), value_of(facts.length_m)
        if each is None or length is None:
            return None
        stated, fuse = value_of(facts.contact_milliohm), value_of(facts.fuse_amps)
        found = self._begins(lead)
        if facts.from_plug is not None or lead.source not in self.blocks:  # a block's own contacts are its plug
            found.append(OhmStep("contact", contact_ohm(value_of(facts.from_plug), stated)))
        far = min(length, value_of(facts.fuse_at_m, 0.0)) if fuse is not None else 0.0
        if far:
            found.append(OhmStep("wire", each.scaled(2 * far), far))
        if fuse is not None:
            found.append(OhmStep("fuse", fuse_ohm(fuse)))
        found.append(OhmStep("wire", each.scaled(2 * (length - far)), length - far))
        return (*found, OhmStep("contact", contact_ohm(value_of(facts.to_plug), stated)))

    def _begins(self, lead: Lead) -> list[OhmStep]:
        """The box or block a lead comes out of."""
        if (block := self.blocks.get(lead.source)) is not None:
            return _block_steps(block)
        if (box := self.boxes.get(lead.source)) is not None or lead.source in self.devices:
            return _box_steps(box, lead.socket)
        return []


def _block_steps(block: TerminalBlock) -> list[OhmStep]:
    """Two contacts of each pole, and the fuse of the way."""
    stated, fuse = value_of(block.facts.contact_milliohm), value_of(block.facts.fuse_amps)
    each = BLOCK_CONTACT_MILLIOHM if stated is None else Range3.of(stated)
    found = [OhmStep("box", each.scaled(4e-3))]
    return [*found, OhmStep("fuse", fuse_ohm(fuse))] if fuse is not None else found


def _box_steps(box: PowerBox | None, channel: str | None) -> list[OhmStep]:
    stated = value_of(box.facts.through_milliohm) if box is not None else None
    each = BOX_MILLIOHM if stated is None else Range3.of(stated)
    fuse = value_of(box.channel(channel).fuse_amps) if box is not None else None
    found = [OhmStep("box", each.scaled(1e-3))]
    return [*found, OhmStep("fuse", fuse_ohm(fuse))] if fuse is not None else found
