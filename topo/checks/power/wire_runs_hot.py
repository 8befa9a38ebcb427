"""More current runs through a wire than it may carry.

Heat goes with the square of the current, and a wire in a sheath, in a bundle or under a cover gets rid of little of it.
The limit is that for its fuse: 7 A at 18 AWG, 10 at 16, 15 at 14, 20 at 12, 30 at 10 (US code 240.4(D), read in
reprints), carried on to thinner wire. Tables differ by up to nine times; none is 'the' answer.

Leads side by side share their current by their ohms. If one of them opens, the others carry all: that is a risk where
no fuse keeps it from a wire that takes less.

A fault where normal work passes the limit; a risk where the peak does; a note where only the high end of what is
uncertain does.

Wrong if the wire feels cool after half an hour of full load.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import (
    amps_figures,
    at_least,
    fixed,
    lead_of,
    likely,
    over,
    over_alone,
    thicker,
    wire_words,
)
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.power.bases import weakest
from topo.words.apart import apart
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.power import LeadPower


def find(study: Study) -> Iterator[Finding]:
    """One finding for each lead that carries more than its wire may."""
    for power in study.power.leads:
        if power.limit_a is None:
            continue
        lead, states, once = lead_of(study, power.id), power.amps, ""
        if (found := over(states, power.limit_a, partial(at_least, study, lead))) is None and not _is_guarded(power):
            found = over_alone(power, power.limit_a)
            states, once = power.all_amps, f"Once {listed(power.beside)} is open: "
        if found is None:
            continue
        severity, certainty = found
        amps = states.typical if severity == "fault" else states.peak
        when = {"fault": "runs", "risk": "runs at the peak", "note": "may run at the peak, at worst,"}[severity]
        shown = 0.0 if amps is None else amps.high if severity == "note" and not once else amps.likely
        yield Finding(
            name="wire-runs-hot",
            severity="risk" if once else severity,
            certainty=certainty,
            part=lead.to,
            place=lead.place,
            message=f"{once}{apart(shown, power.limit_a)} A {'runs at the peak' if once else when} through "
            f"{plain(lead.id)}, and its {wire_words(lead)} wire can take {power.limit_a:g} A.",
            figures=_figures(power),
            refuted_by="the wire feels cool after half an hour of full load",
            fix=fixed(
                thicker(lead, power), partial(_again, lead.id),
                f"Use thicker wire for {plain(lead.id)}, or divide its parts over two leads.",
            ),
        )  # fmt: skip


def _is_guarded(power: LeadPower) -> bool:
    """Whether a fuse opens before the wire is too hot."""
    return power.fuse_a is not None and power.limit_a is not None and power.fuse_a <= power.limit_a


def _figures(power: LeadPower) -> tuple[Figure, ...]:
    wire = math.fsum(step.ohm.likely for step in power.steps if step.kind == "wire")
    watts = likely(power.amps.peak) ** 2 * wire / power.length_m if power.length_m else 0.0
    return (
        Figure("wire's limit", power.limit_a, "A", power.limit_basis),
        *amps_figures(power.amps, power.drawn),
        Figure("heat in each metre at the peak", round(watts, 2), "W", weakest((power.figures, power.drawn))),
    )


def _again(lead_id: str, study: Study) -> tuple[Figure, ...]:
    power = study.power.lead(lead_id)
    return () if power is None or power.limit_a is None else _figures(power)


def _rig(peak: float, wire: str, typical: float = 2) -> str:
    power = "power:\n  supplies: {pier: {volts: 12, amps: 20, volts_by: meter}}\n"
    power += f"  leads: {{a: {{from: pier, to: main-camera, length_m: 0.5, {wire}}}}}\n"
    return rig(imaging("computer/usb3-1", f"amps_typical: {typical:g}", f"amps_peak: {peak:g}")) + power


def _beside(amps: float, wire: str) -> str:
    power = "power:\n  supplies: {pier: {volts: 12, amps: 20, volts_by: meter}}\n  leads:\n"
    power += "".join(f"    {name}: {{from: pier, to: main-camera, length_m: 0.5, {wire}, "
                     "from_plug: ring, to_plug: ring}\n" for name in "ab")  # fmt: skip
    return rig(imaging("computer/usb3-1", f"amps_typical: {amps:g}", f"amps_peak: {amps:g}")) + power


CHECK = Check(
    name="wire-runs-hot",
    summary="more current runs through a wire than it may carry",
    explanation=__doc__,
    severities=("fault", "risk", "note"),
    find=find,
    scope="no-plug",
    cases=(
        Case("3 A on 18 AWG", _rig(3, "gauge_awg: 18"), 0),
        Case("12 A on 20 AWG", _rig(12, "gauge_awg: 20", 12), 1),
        Case("a peak of 8 A on 0.75 mm²", _rig(8, "area_mm2: 0.75"), 1),
        Case("8 A over two leads of 18 AWG", _beside(8, "gauge_awg: 18, fuse_amps: 7"), 0),
        Case("the same without fuses: if one opens, the other is too thin", _beside(8, "gauge_awg: 18"), 2),
    ),
    tested_by="a clamp meter round the lead at full load; `topo power RIG` says what amps to expect there",
)
