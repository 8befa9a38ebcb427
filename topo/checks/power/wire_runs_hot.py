"""More current runs through a wire than it may carry.

Heat goes with the square of the current, and a wire in a sheath, in a bundle or under a cover gets rid of little of it.
The limit is that for its fuse: 7 A at 18 AWG, 10 at 16, 15 at 14, 20 at 12, 30 at 10 (US code 240.4(D), read in
reprints), carried on to thinner wire. Tables differ by up to nine times; none is 'the' answer.

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
from topo.checks.power_help import amps_figures, fixed, lead_of, likely, over, thicker, wire_words
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.power import LeadPower


def find(study: Study) -> Iterator[Finding]:
    """One finding for each lead that carries more than its wire may."""
    for power in study.power.leads:
        if power.limit_a is None or (found := over(power.amps, power.limit_a)) is None:
            continue
        severity, certainty = found
        lead = lead_of(study, power.id)
        amps = power.amps.typical if severity == "fault" else power.amps.peak
        when = {"fault": "runs", "risk": "runs at the peak", "note": "may run at the peak, at worst,"}[severity]
        shown = 0.0 if amps is None else amps.high if severity == "note" else amps.likely
        yield Finding(
            name="wire-runs-hot",
            severity=severity,
            certainty=certainty,
            part=lead.to,
            place=lead.place,
            message=f"{shown:.1f} A {when} through {plain(lead.id)}, and its {wire_words(lead)} wire "
            f"can take {power.limit_a:g} A.",
            figures=_figures(power),
            refuted_by="the wire feels cool after half an hour of full load",
            fix=fixed(
                thicker(lead, power), partial(_again, lead.id),
                f"Use thicker wire for {plain(lead.id)}, or divide its parts over two leads.",
            ),
        )  # fmt: skip


def _figures(power: LeadPower) -> tuple[Figure, ...]:
    wire = math.fsum(step.ohm.likely for step in power.steps if step.kind == "wire")
    watts = likely(power.amps.peak) ** 2 * wire / power.length_m if power.length_m else 0.0
    return (
        Figure("wire's limit", power.limit_a, "A", "profile"),
        *amps_figures(power.amps, "profile"),
        Figure("heat in each metre at the peak", round(watts, 2), "W", power.figures),
    )


def _again(lead_id: str, study: Study) -> tuple[Figure, ...]:
    power = study.power.lead(lead_id)
    return () if power is None or power.limit_a is None else _figures(power)


def _rig(peak: float, wire: str, typical: float = 2) -> str:
    power = "power:\n  supplies: {pier: {volts: 12, amps: 20, volts_by: meter}}\n"
    power += f"  leads: {{a: {{from: pier, to: main-camera, length_m: 0.5, {wire}}}}}\n"
    return rig(imaging("computer/usb3-1", f"amps_typical: {typical:g}", f"amps_peak: {peak:g}")) + power


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
    ),
)
