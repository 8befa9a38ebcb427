"""A short at the far end of a lead would not open its fuse.

A fuse opens within seconds at twice its rating (UL/CSA 248-14). Long thin wire lets through less than that even when
its far end is shorted: 20 m of 24 AWG on a battery pass 3.8 A, and a 5 A fuse never opens, while the wire heats for
hours.

A risk. Only leads of batteries are judged: mains supplies limit themselves.

Wrong if the lead is shorter, or its wire thicker, than the file says.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import fixed, lead_of, other_fuse, thicker
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.power.battery import inside_ohm
from topo.words.apart import apart

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.change import Proposal
    from topo.model.feeds import Lead
    from topo.model.power import LeadPower

OPENS_FAST = 2.0
"""Times its rating at which a fuse opens within two minutes (UL/CSA 248-14)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each fused lead of a battery that passes too little when it is shorted."""
    for power in study.power.leads:
        short = _short_a(study, power)
        if short is None or power.fuse_a is None or short >= OPENS_FAST * power.fuse_a:
            continue
        lead = lead_of(study, power.id)
        yield Finding(
            name="short-does-not-blow-fuse",
            severity="risk",
            certainty="possible",
            part=lead.to,
            place=lead.place,
            message=f"A short at the far end of {plain(lead.id)} draws only {apart(short, power.fuse_a)} A, and its "
            f"fuse is for {power.fuse_a:g} A: it would not open soon, and the wire would get hot.",
            figures=_figures(short, power),
            refuted_by="the lead is shorter, or its wire thicker, than the file says",
            fix=fixed(
                _offers(lead, power), partial(_again, lead.id),
                "Use a smaller fuse, a thicker wire, or a shorter one.",
            ),
        )  # fmt: skip


def _short_a(study: Study, power: LeadPower) -> float | None:
    """What a dead short at the end of a lead passes at the likely figures; None off batteries or with ohms unknown."""
    battery = next((each for each in study.rig.supplies if each.id == power.supply and each.is_battery), None)
    ohms = []
    here: LeadPower | None = power
    while here is not None:
        if not here.steps:
            return None
        ohms += [step.ohm.likely for step in here.steps]
        here = next((each for each in study.power.leads if here.source in lead_of(study, each.id).ends), None)
    if battery is None:
        return None
    return battery.volts / (inside_ohm(battery).likely + math.fsum(ohms))


def _figures(short: float, power: LeadPower) -> tuple[Figure, ...]:
    fuse = Figure("fuse", power.fuse_a, "A", "declared")
    return (Figure("a short passes", round(short, 2), "A", power.figures), fuse)


def _again(lead_id: str, study: Study) -> tuple[Figure, ...]:
    power = study.power.lead(lead_id)
    short = None if power is None else _short_a(study, power)
    return () if power is None or short is None else _figures(short, power)


def _offers(lead: Lead, power: LeadPower) -> Iterator[Proposal]:
    yield from other_fuse(lead, power)
    yield from thicker(lead, power)


def _rig(length_m: float, gauge_awg: int) -> str:
    power = "power:\n  supplies: {battery: {volts: 12.8, amps: 20, chemistry: agm, ah: 40}}\n"
    power += f"  leads: {{a: {{from: battery, to: main-camera, length_m: {length_m:g}, gauge_awg: {gauge_awg}, "
    power += "fuse_amps: 5}}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 0.1", "amps_peak: 0.2")) + power


CHECK = Check(
    name="short-does-not-blow-fuse",
    summary="a short at the far end of a lead would not open its fuse",
    explanation=__doc__,
    severities=("risk",),
    find=find,
    scope="no-plug",
    cases=(
        Case("3 m of 16 AWG behind 5 A", _rig(3, 16), 0),
        Case("20 m of 24 AWG behind 5 A", _rig(20, 24), 1),
    ),
)
