"""What of the 12 V side cannot be judged, and which fact is missing: nothing is passed over in silence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from topo.model.feeds import Lead
from topo.model.power import NotJudged
from topo.model.rig import Rig
from topo.power.loads import Drawing
from topo.power.tree import FedTree

GAUGE = "gauge_awg or area_mm2"


def not_judged(rig: Rig, trees: Sequence[FedTree], loads: dict[str, Drawing]) -> tuple[NotJudged, ...]:
    """Supplies, leads and parts, in the order of the file, each with the facts that are missing."""
    found = list(_supplies(rig))
    reached = {lead.id: tree for tree in trees for branch in tree.branches for lead, _ in branch.strands}
    dim: set[str] = set()
    for lead in rig.leads:
        missing = []
        if lead.id not in reached:
            doubled = any(lead in tree.doubled for tree in trees)
            missing.append("how much it carries, and how much the other way to its end" if doubled
                           else "a supply that feeds it")
        missing += [] if lead.facts.length_m is not None else ["length_m"]
        missing += [] if lead.facts.gauge_awg is not None or lead.facts.area_mm2 is not None else [GAUGE]
        dim.update(lead.ends if missing else ())
        missing += _of_those_beside(rig, lead, trees)
        missing += _of_its_guard(rig, lead)
        if missing:
            found.append(NotJudged("lead", lead.id, tuple(missing)))
    return (*found, *_parts(rig, reached, dim, loads))


def _of_those_beside(rig: Rig, lead: Lead, trees: Iterable[FedTree]) -> list[str]:
    """A lead shares its current with those beside it: what it carries hangs on theirs."""
    strands = next((branch.strands for tree in trees for branch in tree.branches
                    if branch.beside and any(each.id == lead.id for each, _ in branch.strands)), ())  # fmt: skip
    return [f"length or gauge of {each.id} beside it" for each, steps in strands if steps is None and each is not lead]


def _of_its_guard(rig: Rig, lead: Lead) -> list[str]:
    """What is not known of its plugs, of where its fuse sits, and of what limits the way it begins at."""
    facts = lead.facts
    batteries = {supply.id for supply in rig.supplies if supply.is_battery}
    known = facts.contact_milliohm is not None
    at_block = any(block.id == lead.source for block in rig.blocks)
    missing = [] if known or at_block or facts.from_plug is not None else ["from_plug"]
    missing += [] if known or facts.to_plug is not None else ["to_plug"]
    far = lead.source in batteries and facts.fuse_amps is not None and facts.fuse_at_m is None
    missing += ["fuse_at_m"] if far else []
    boxes = {box.id: box for box in rig.boxes}
    channel = boxes[lead.source].channel(lead.socket) if lead.source in boxes else None
    is_box = channel is not None or any(part.id == lead.source for part in rig.parts)
    limited = channel is not None and (channel.amps is not None or channel.fuse_amps is not None)
    return [*missing, *([f"amps of its channel of {lead.source}"] if is_box and not limited else [])]


def _supplies(rig: Rig) -> Iterator[NotJudged]:
    for supply in rig.supplies:
        missing = [] if supply.amps is not None else ["amps"]
        missing += [] if supply.facts.kind is not None or supply.is_battery else ["kind"]
        charged = supply.facts.charger_volts is not None
        missing += ["charger_amps"] if charged and supply.facts.charger_amps is None else []
        lithium = charged and supply.facts.chemistry is not None and supply.facts.chemistry.value == "lifepo4"
        dim = supply.facts.night_celsius is None and rig.night.facts.coldest_celsius is None
        missing += ["night_celsius, since its charger stays on"] if lithium and dim else []
        if supply.is_battery:
            missing += [] if supply.facts.chemistry is not None else ["chemistry"]
            missing += [] if supply.facts.ah is not None else ["ah"]
            missing += [] if supply.facts.charge_percent is not None else ["charge_percent"]
        if missing:
            yield NotJudged("supply", supply.id, tuple(missing))


def _parts(
    rig: Rig, reached: dict[str, FedTree], dim: set[str], loads: dict[str, Drawing]
) -> Iterator[NotJudged]:
    """Parts and converters at the end of a lead: what they draw, what they work at, and volts behind a dim lead."""
    ends = {end for lead in rig.leads for end in lead.ends}
    things: tuple[tuple[str, object, object], ...] = (
        *((part.id, part.facts.volts_min, part.facts.volts_max) for part in rig.parts),
        *((each.id, each.facts.volts_min, each.facts.volts_max) for each in rig.converters),
    )
    converters = {each.id for each in rig.converters}
    behind = _behind(rig, dim)
    for name, least, most in things:
        if name not in ends:
            continue
        missing = [] if name in loads or name in converters else ["amps_typical"]
        missing += [] if least is not None else ["volts_min"]
        missing += [] if most is not None else ["volts_max"]
        missing += ["volts, since a lead before it is not known"] if name in behind else []
        if missing:
            yield NotJudged("part", name, tuple(missing))


def _behind(rig: Rig, dim: set[str]) -> set[str]:
    """All that hangs on what a lead that is not known ends at."""
    found, pending = set(dim), list(dim)
    while pending:
        here = pending.pop()
        new = {end for lead in rig.leads if lead.source == here for end in lead.ends} - found
        found |= new
        pending += sorted(new)
    return found
