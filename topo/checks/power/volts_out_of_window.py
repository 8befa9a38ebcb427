"""A part gets fewer volts than it works at, or more than it stands.

A lead loses volts in both of its wires: 5 m of 24 AWG cost 2.5 V at 3 A. The volts at each part are worked out from the
supply along the declared leads, with every part at its peak and in normal work. A cooler loses depth, a mount loses
steps and a camera drops off USB when they fall below what it works at. The other end counts as well: a supply set to
13.8 V is above '12 V plus or minus 10 %'.

A fault where it is so in normal work, or where the supply itself gives too much; a risk where only the peak does it.
Nothing is said of parts and leads with figures missing.

Refuted by a meter at the part's own plug, under load. Mains supplies stay closed; follow local codes.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain
from topo.power.drop import volts_at

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Part


def find(study: Study) -> Iterator[Finding]:
    """One finding for each part whose volts leave its window."""
    typical = {part.id: value_of(part.facts.amps_typical) or 0.0 for part in study.rig.parts}
    peak = {part.id: value_of(part.facts.amps_peak) or typical[part.id] for part in study.rig.parts}
    in_work, at_peak = volts_at(study.rig, typical), volts_at(study.rig, peak)
    at_rest = volts_at(study.rig, {})
    for part in study.rig.parts:
        if part.id not in in_work:
            continue
        least, most = value_of(part.facts.volts_min), value_of(part.facts.volts_max)
        if most is not None and at_rest[part.id] > most:
            yield _finding(part, "fault", at_rest[part.id], at_rest[part.id], "more than it stands")
        elif least is not None and at_peak[part.id] < least:
            severity: Severity = "fault" if in_work[part.id] < least else "risk"
            yield _finding(part, severity, in_work[part.id], at_peak[part.id], "less than it works at")


def _finding(part: Part, severity: Severity, in_work: float, at_peak: float, what: str) -> Finding:
    least, most = value_of(part.facts.volts_min), value_of(part.facts.volts_max)
    window = (
        Figure("lowest it works at", least, "V", basis_of(part.facts.volts_min)),
        Figure("highest it stands", most, "V", basis_of(part.facts.volts_max)),
    )
    advice = (
        "Set or choose a supply within its window."
        if what.startswith("more")
        else "Use a thicker or shorter lead, or feed it straight from the supply."
    )
    return Finding(
        name="volts-out-of-window",
        severity=severity,
        certainty="possible",
        part=part.id,
        place=part.place,
        message=f"{plain(part.id)} gets {at_peak:.1f} V{' at the peak' if severity == 'risk' else ''}, {what}.",
        figures=(
            Figure("volts in normal work", round(in_work, 2), "V", "declared"),
            Figure("volts at the peak", round(at_peak, 2), "V", "declared"),
            *(figure for figure in window if figure.value is not None),
        ),
        refuted_by="a meter at its own plug, under load",
        fix=Fix(f"{advice} {SHORT}"),
    )


def _rig(gauge_awg: int, volts: float = 12.8) -> str:
    facts = ("amps_typical: 2", "amps_peak: 3", "volts_min: 11", "volts_max: 14")
    power = f"power:\n  supplies: {{pier: {{volts: {volts:g}, amps: 10}}}}\n"
    power += f"  leads: {{a: {{from: pier, to: main-camera, length_m: 5, gauge_awg: {gauge_awg}}}}}\n"
    return rig(imaging("computer/usb3-1", *facts)) + power


CHECK = Check(
    name="volts-out-of-window",
    summary="a part gets fewer volts than it works at, or more than it stands",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(
        Case("5 m of 14 AWG to a camera", _rig(14), 0),
        Case("5 m of 24 AWG to the same camera", _rig(24), 1),
        Case("a supply of 14.6 V", _rig(14, 14.6), 1),
    ),
)
