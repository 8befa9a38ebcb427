"""What figures of the 12 V side rest on: the weakest basis of a lead, of a tree, and the window of a part."""

from __future__ import annotations

from topo.model.facts import BASES, Basis, value_of
from topo.model.feeds import Converter, Lead, Supply
from topo.model.rig import Part
from topo.power.loads import Drawing
from topo.power.tree import FedTree


def weakest(*bases: Basis) -> Basis:
    """The weakest of some bases."""
    return max(bases, key=BASES.index)


def basis_of_lead(lead: Lead) -> Basis:
    """`declared` where length, gauge and both plugs are known; else an assumption is in it."""
    facts = lead.facts
    gauge = facts.gauge_awg or facts.area_mm2
    plugs = (facts.from_plug is not None and facts.to_plug is not None) or facts.contact_milliohm is not None
    return "declared" if facts.length_m is not None and gauge is not None and plugs else "assumed"


def basis_of_source(tree: FedTree, loads: dict[str, Drawing]) -> Basis:
    """The weakest of the source's volts and of what is drawn on its tree."""
    source = tree.source
    measured = isinstance(source, Supply) and value_of(source.facts.volts_by) == "meter"
    own: Basis = "measured" if measured else "declared"
    drawn = (loads[end].basis for branch in tree.branches for end in branch.lead.ends if end in loads)
    return weakest(own, *drawn)


def window(thing: Part | Converter) -> tuple[float | None, float | None]:
    """The lowest volts a part or converter works at, and the most it can take."""
    return value_of(thing.facts.volts_min), value_of(thing.facts.volts_max)
