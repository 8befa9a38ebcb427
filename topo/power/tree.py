"""The 12 V side as trees: every source with what hangs on it, lead by lead. Nothing is solved here.

Leads between the same two ends stand side by side in one branch. One that begins at nothing fed, or ends at something
that other leads feed already, belongs to no tree. A converter ends one tree and begins another.
"""

from __future__ import annotations

import math

from topo.frozen import frozen
from topo.model.facts import Range3, value_of
from topo.model.feeds import Converter, Lead, PowerBox, Supply, TerminalBlock
from topo.model.power import OhmStep
from topo.model.rig import Rig
from topo.power.battery import charged_volts, inside_ohm, source_volts
from topo.power.copper import contact_ohm, fuse_ohm, wire_ohm_per_m

BOX_MILLIOHM = Range3(5.0, 20.0, 50.0)
"""From a box's input to an output, where nobody says (from memory, verify)."""

BLOCK_CONTACT_MILLIOHM = Range3(1.0, 5.0, 20.0)
"""A contact of a terminal block: 20 at most (three sheets); the rest our own, no source."""


@frozen
class FedBranch:
    """A lead in its tree: what it hangs on (-1: the source itself), what costs volts on it (None: not known), metres
    to where it begins, and leads beside it with the same for each."""

    lead: Lead
    above: int
    steps: tuple[OhmStep, ...] | None
    starts_m: float
    beside: tuple[tuple[Lead, tuple[OhmStep, ...] | None], ...] = ()

    @property
    def strands(self) -> tuple[tuple[Lead, tuple[OhmStep, ...] | None], ...]:
        """Its leads, side by side."""
        return ((self.lead, self.steps), *self.beside)

    @property
    def known(self) -> bool:
        """Whether length and gauge of all its leads are known."""
        return all(steps is not None for _, steps in self.strands)

    def ohm(self, level: int) -> float:
        """There and back over all its leads, at a level (0 low, 1 likely, 2 high)."""
        if not self.beside:
            return ohm_of(self.steps, level)
        return 1 / math.fsum(1 / max(ohm_of(steps, level), LEAST_OHM) for _, steps in self.strands)

    def share(self, number: int) -> Range3:
        """What one of its leads carries of all, by their ohms: the most where it is at the low end and the others at
        the high one."""
        if not self.beside:
            return Range3.of(1.0)
        steps = [each for _, each in self.strands]
        if not self.known:
            return Range3(0.0, 1 / len(steps), 1.0)

        def part(own: int, others: int) -> float:
            mine = 1 / max(ohm_of(steps[number], own), LEAST_OHM)
            rest = (1 / max(ohm_of(each, others), LEAST_OHM) for index, each in enumerate(steps) if index != number)
            return mine / math.fsum((mine, *rest))

        return Range3.of(part(2, 0), part(1, 1), part(0, 2))


LEAST_OHM = 1e-6
"""Of a lead beside others: two without any would share a current in no way that could be told."""


def ohm_of(steps: tuple[OhmStep, ...] | None, level: int) -> float:
    """Ohms of a lead there and back at a level; 0 where they are not known."""
    return math.fsum((step.ohm.low, step.ohm.likely, step.ohm.high)[level] for step in steps or ())


@frozen
class FedTree:
    """A source and its branches, each after the one it hangs on. `at_rest` are its volts with nothing drawn, a charger
    on it counted. `doubled`: leads that end at what is fed already."""

    source: Supply | Converter
    volts: Range3
    at_rest: Range3
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
        begun = [lead for lead in rig.leads if lead.source == name]
        sided: set[str] = set()
        for number, lead in enumerate(begun):
            if lead.id in sided:
                continue
            if lead.to in fed:
                doubled.append(lead)
                continue
            beside = [each for each in begun[number + 1 :] if set(each.ends) == set(lead.ends)]
            sided.update(each.id for each in beside)
            fed.update(lead.ends)
            branches.append(FedBranch(lead, above, between.steps(lead), metres,
                                      tuple((each, between.steps(each)) for each in beside)))  # fmt: skip
            further = metres + value_of(lead.facts.length_m, 0.0)
            pending += [(end, len(branches) - 1, further) for end in lead.ends if end not in between.converters]
    volts, at_rest, inside = _volts_of(source, between.air)
    return FedTree(source, volts, at_rest, inside, tuple(branches), tuple(doubled))


def _volts_of(source: Supply | Converter, coldest: float | None) -> tuple[Range3, Range3, Range3]:
    """Volts under load, volts with nothing drawn, and ohms inside. What a charger gives may be less than is drawn, so
    only the high end of volts under load is its."""
    if isinstance(source, Converter):
        return Range3.of(source.volts), Range3.of(source.volts), Range3.of(0.0)
    volts, charged = source_volts(source), charged_volts(source, coldest)
    if charged is None:
        return volts, volts, inside_ohm(source)
    return Range3(volts.low, volts.likely, max(volts.high, charged.high)), charged, inside_ohm(source)


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
