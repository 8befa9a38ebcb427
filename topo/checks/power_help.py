"""What checks of the 12 V side share: where a lead stands, severities over ranges, and what another wire or fuse is."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from topo.model.cautions import SHORT
from topo.model.change import Proposal, SetLead, SetSupply
from topo.model.facts import Basis, Fact, Figure, Range3, value_of
from topo.model.feeds import LeadFacts
from topo.model.finding import Certainty, Fix, Severity
from topo.model.plain import plain
from topo.model.rig import Device
from topo.power.copper import (
    AREAS_MM2,
    FUSES_A,
    GAUGES,
    fuse_for,
    gauge_like,
    limit_of_gauge,
    wire_limit_a,
    wire_ohm_per_m,
)
from topo.power.loads import drawing
from topo.power.tree import fed_by

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.feeds import Lead
    from topo.model.power import ByState, LeadPower
    from topo.model.rig import Part

AT_SOURCE_M = 0.15
"""Where a fuse goes: within 178 mm of the source (33 CFR 183.455(b), read in a reprint)."""


def lead_of(study: Study, lead_id: str) -> Lead:
    """The lead of that id."""
    return study.leads[lead_id]


def behind(study: Study, lead: Lead) -> tuple[str, ...]:
    """The parts on a lead and on all behind it, but for the first end."""
    parts = {part.id for part in study.rig.parts}
    return tuple(name for name in _all_on(study, lead) if name != lead.to and name in parts)


def _all_on(study: Study, lead: Lead) -> dict[str, None]:
    """The ends of a lead and all that hangs on them, in the order of the leads."""
    return dict.fromkeys((*lead.ends, *(name for end in lead.ends for name in fed_by(study.rig, end))))


def at_least(study: Study, lead: Lead) -> float:
    """The share of a lead's amps that flows in any case, where nobody says what the loads behind it do as volts fall.

    Amps of a part that is taken for a converter go as 1/V; were it a resistor they would go as V, and the other way
    round, so that one is the other times the square of the volts over those at which its amps are stated.
    """
    names = _all_on(study, lead)
    volts = {end: each.volts_to for each in study.power.leads for end in lead_of(study, each.id).ends if end in names}
    return min((_least(part, volts[part.id]) for part in study.rig.parts if part.id in volts), default=1.0)


def _least(part: Part, volts: ByState) -> float:
    load = None if volts.typical is None else drawing(part, volts.typical.likely)
    if load is None or (isinstance(part, Device) and part.facts.draws is not None):
        return 1.0
    ends = (end for state in (volts.typical, volts.peak) if state is not None for end in (state.low, state.high))
    squares = [(end / load.volts) ** 2 for end in ends if end > 0.0]
    if load.draws == "ohms":
        squares = [1.0 / each for each in squares]
    return min([1.0, *squares])


def over(states: ByState, most: float, share: Callable[[], float] = lambda: 1.0) -> tuple[Severity, Certainty] | None:
    """What it is that a current passes a limit: a fault in normal work, a risk at the peak, a note where only the high
    end of what is uncertain does. None where nothing does. `share` of its low end flows in any case."""
    typical, peak = states.typical, states.peak
    if typical is not None and typical.likely > most:
        return "fault", "certain" if typical.low > most < typical.low * share() else "possible"
    if peak is not None and peak.likely > most:
        return "risk", "certain" if peak.low > most < peak.low * share() else "possible"
    if peak is not None and peak.high > most:
        return "note", "possible"
    return None


def over_alone(power: LeadPower, most: float) -> tuple[Severity, Certainty] | None:
    """The same for a lead that shares its current, once those beside it are open: a note, since that is a fault of its
    own. None where it shares with none."""
    found = None if power.alone is None else over(power.alone, most)
    return None if found is None or found[0] == "note" else ("note", "possible")


def amps_figures(states: ByState, basis: Basis) -> tuple[Figure, ...]:
    """Amps in normal work and at the peak."""
    return tuple(
        Figure(name, value, "A", basis)
        for name, value in (("in normal work", states.typical), ("at the peak", states.peak)) if value is not None
    )


def likely(value: Range3 | None) -> float:
    """The likely end; 0 where nothing is known or can be fed."""
    return 0.0 if value is None else value.likely


def wire_words(lead: Lead) -> str:
    """The wire of a lead: `18 AWG`, `1.5 mm²`."""
    facts = lead.facts
    if facts.gauge_awg is not None:
        return f"{facts.gauge_awg.value} AWG"
    return f"{facts.area_mm2.value:g} mm²" if facts.area_mm2 is not None else "wire of unknown gauge"


def fixed(offers: Iterator[Proposal], figures: Callable[[Study], tuple[Figure, ...]], otherwise: str) -> Fix:
    """A remedy of the 12 V side: what could help, how its figures are found again, and words with the cautions."""
    return Fix(f"{otherwise} {SHORT}", tuple(offers), figures)


def other_fuse(lead: Lead, power: LeadPower) -> Iterator[Proposal]:
    """A fuse that carries the normal current with a quarter to spare and protects the wire there is."""
    limit = wire_limit_a(lead.facts)
    fuse = None if limit is None else _fuse(power, limit)
    if fuse is not None and fuse != value_of(lead.facts.fuse_amps):
        yield Proposal(_fused(lead, fuse), (f"a fuse of {fuse:g} A for {plain(lead.id)}",))


def gains(power: LeadPower, proposal: Proposal) -> float:
    """Volts that a thicker wire could win at most, about: its share of the wire's ohms, and a half more since amps fall
    as volts rise. For leaving out what cannot do."""
    sizes = {step.key: step.value for step in proposal.steps if isinstance(step, SetLead)}
    gauge, area = sizes.get("gauge_awg"), sizes.get("area_mm2")
    wire = wire_ohm_per_m(LeadFacts(
        gauge_awg=None if gauge is None else Fact(int(gauge), "declared"),
        area_mm2=None if area is None else Fact(area, "declared"),
    ))  # fmt: skip
    now = math.fsum(step.ohm.high for step in power.steps if step.kind == "wire")
    then = 0.0 if wire is None else 2 * power.length_m * wire.low
    amps = power.amps.peak.high if power.amps.peak is not None else 0.0
    return 1.5 * amps * (now - then)


def thicker(lead: Lead, power: LeadPower, most: int = 2) -> Iterator[Proposal]:
    """The same lead of thicker wire, so many sizes that are easy to buy from the first that does, with a fuse that fits
    it where one is known to be needed."""
    yield from itertools.islice(_thicker(lead, power), most)


def _thicker(lead: Lead, power: LeadPower) -> Iterator[Proposal]:
    facts = lead.facts
    size = "" if facts.length_m is None else f" of {facts.length_m.value:g} m"
    for key, value, limit in _sizes(lead):
        fuse = _fuse(power, limit)
        if fuse is None:
            continue
        words = f"{value:g} {'AWG' if key == 'gauge_awg' else 'mm²'}"
        steps: tuple[SetLead, ...] = (SetLead(lead.id, key, value),)
        buys = [f"a lead{size} of {words} for {plain(lead.id)}"]
        own = value_of(facts.fuse_amps)
        guarded = power.fuse_a is not None and power.fuse_a <= limit
        if not (guarded if own is None else fuse <= own <= limit):
            steps += _fused(lead, fuse)
            buys.append(f"a fuse of {fuse:g} A for {plain(lead.id)}")
        yield Proposal(steps, tuple(buys))


def _fuse(power: LeadPower, limit: float) -> float | None:
    """A quarter above the peak where the wire allows that; else a quarter above normal work, and the peak itself."""
    if power.amps.peak is None:  # no volts at which it is fed: how much will run is not known, the wire's limit is
        return max((float(rating) for rating in FUSES_A if rating <= limit), default=None)
    typical, peak = likely(power.amps.typical), power.amps.peak.likely
    return fuse_for(max(typical, peak), limit) or fuse_for(max(typical, peak / 1.25), limit)


def _fused(lead: Lead, fuse: float) -> tuple[SetLead, ...]:
    """A fuse where the lead begins."""
    far = lead.facts.fuse_at_m is None or lead.facts.fuse_at_m.value > AT_SOURCE_M
    at = (SetLead(lead.id, "fuse_at_m", AT_SOURCE_M),) if far else ()
    return (SetLead(lead.id, "fuse_amps", fuse), *at)


def _sizes(lead: Lead) -> Iterator[tuple[str, float | int, float]]:
    """Thicker sizes, in the way the lead's own is written: key, value, and what the wire can take."""
    facts = lead.facts
    if facts.area_mm2 is not None and facts.gauge_awg is None:
        for area in AREAS_MM2:
            if area > facts.area_mm2.value:
                yield "area_mm2", area, limit_of_gauge(gauge_like(area))
    elif facts.gauge_awg is not None:
        for gauge in GAUGES:
            if gauge < facts.gauge_awg.value:
                yield "gauge_awg", gauge, limit_of_gauge(gauge)


SUPPLY_AMPS = (1, 2, 3, 5, 8, 10, 12, 15, 20, 25, 30, 40)


def larger_supply(study: Study, supply_id: str, amps: float) -> Iterator[Proposal]:
    """A supply of as many volts that gives a quarter more than is drawn."""
    supply = next((each for each in study.rig.supplies if each.id == supply_id), None)
    size = next((float(each) for each in SUPPLY_AMPS if each >= 1.25 * amps), None)
    if supply is not None and size is not None and not supply.is_battery:
        words = f"a supply of {supply.volts:g} V and {size:g} A in place of {plain(supply.id)}"
        yield Proposal((SetSupply(supply.id, "amps", size),), (words,))
