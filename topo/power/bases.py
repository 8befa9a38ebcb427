"""What figures of the 12 V side rest on: the weakest basis of volts of a source, of a lead, of what is drawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from topo.model.facts import BASES, Basis, Fact, basis_of, value_of
from topo.model.feeds import Converter, Lead, Supply
from topo.model.rig import Part, Rig
from topo.power.copper import DEVICE_LIMIT_A
from topo.power.loads import Drawing
from topo.power.tree import FedTree


def weakest(bases: Iterable[Basis]) -> Basis:
    """The weakest of some bases; the firmest there is where nothing counts."""
    return max(bases, key=BASES.index, default="measured")


def basis_of_lead(rig: Rig, lead: Lead) -> Basis:
    """The weakest of its length, gauge and plugs, and of what it begins at; `assumed` where one is not known.

    Contacts of a block and of each family of plugs are published; what a box costs from its input to an output is not.
    """
    facts = lead.facts
    block = any(each.id == lead.source for each in rig.blocks)
    begins = () if block else (facts.from_plug,)
    plugs = (facts.contact_milliohm,) if facts.contact_milliohm is not None else (*begins, facts.to_plug)
    box = next((each for each in rig.boxes if each.id == lead.source), None)
    passes_on = box is not None or any(each.id == lead.source for each in rig.parts)
    through = (None if box is None else box.facts.through_milliohm,) if passes_on else ()
    return weakest((basis_of(facts.length_m, facts.gauge_awg or facts.area_mm2, *plugs, *through), "declared"))


def basis_of_limit(lead: Lead) -> Basis:
    """What a wire takes is a published rule from 18 AWG up; carried on below, and for aluminium, it is ours."""
    gauge, area = lead.facts.gauge_awg, lead.facts.area_mm2
    ours = value_of(lead.facts.aluminium) or (gauge is not None and gauge.value > max(DEVICE_LIMIT_A))
    ours = ours or (gauge is None and area is not None and area.value < LEAST_TABLED_MM2)
    return "assumed" if ours else weakest(("profile", basis_of(gauge or area)))


LEAST_TABLED_MM2 = 0.82
"""Copper of 18 AWG, the thinnest of the rule."""


def basis_of_volts(source: Supply | Converter) -> Basis:
    """That of a source's own volts."""
    return "measured" if isinstance(source, Supply) and value_of(source.facts.volts_by) == "meter" else "declared"


def bases_drawn(rig: Rig, trees: Iterable[FedTree], loads: Mapping[str, Drawing]) -> dict[str, Basis]:
    """What the amps of each part and converter rest on. A part of which nobody says what it draws counts as nothing,
    which is an assumption; a converter draws for all behind it."""
    found: dict[str, Basis] = {part.id: loads[part.id].basis if part.id in loads else "assumed" for part in rig.parts}
    for tree in reversed(tuple(trees)):  # converters come after what feeds them
        if isinstance(tree.source, Converter):
            behind = (basis_behind(rig, tree, index, found) for index in range(len(tree.branches)))
            found[tree.source.id] = weakest((basis_of(tree.source.facts.efficiency_percent), "declared", *behind))
    return found


def basis_behind(rig: Rig, tree: FedTree, index: int, drawn: Mapping[str, Basis]) -> Basis:
    """What the amps of a branch rest on: all that is drawn behind it, and of leads side by side their ohms."""
    branch = tree.branches[index]
    on = [drawn[end] for end in branch.lead.ends if end in drawn]
    below = [basis_behind(rig, tree, other, drawn) for other, each in enumerate(tree.branches) if each.above == index]
    shared = [basis_of_lead(rig, lead) for lead, _ in branch.strands] if branch.beside else []
    return weakest((basis_of_volts(tree.source), *on, *below, *shared))


def basis_of_source(rig: Rig, tree: FedTree, drawn: Mapping[str, Basis]) -> Basis:
    """What the amps of a source rest on."""
    behind = (basis_behind(rig, tree, index, drawn) for index, each in enumerate(tree.branches) if each.above < 0)
    return weakest((basis_of_volts(tree.source), *behind))


def basis_of_way(rig: Rig, tree: FedTree, index: int) -> Basis:
    """What the ohms between a source and the end of a branch rest on."""
    found: list[Basis] = []
    if isinstance(tree.source, Supply) and tree.source.is_battery and tree.source.facts.internal_milliohm is None:
        found.append("assumed")
    while index >= 0:
        found += [basis_of_lead(rig, lead) for lead, _ in tree.branches[index].strands]
        index = tree.branches[index].above
    return weakest(found)


def window(thing: Part | Converter) -> tuple[Fact[Any] | None, Fact[Any] | None]:
    """The lowest volts a part or converter works at, and the most it can take."""
    return thing.facts.volts_min, thing.facts.volts_max
