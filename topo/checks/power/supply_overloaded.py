"""The parts on a 12 V supply draw more than it gives.

All parts whose leads lead back to a supply are added up at their peak: cooler at full power, mount slewing, heaters
on. A supply at its limit sags, and what shows first is not the supply: a hub drops out, a mount loses steps. Supplies
lose capacity in the cold, so 1.5 to 2 times the need is common practice (no source).

A fault where typical draw passes the rating, a risk where only the peak does.

Refuted by a meter at the supply's terminals under full load. Mains supplies stay closed; follow local codes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import PLAIN_PC, imaging, rig
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure, value_of
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain
from topo.power.drop import fed_by

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Supply


def find(study: Study) -> Iterator[Finding]:
    """One finding for each supply with too much on it."""
    for supply in study.rig.supplies:
        fed = fed_by(study.rig, supply.id)
        parts = [study.rig.part(name) for name in fed]
        typical = math.fsum(value_of(part.facts.amps_typical) or 0.0 for part in parts)
        peaks = [value_of(part.facts.amps_peak) or value_of(part.facts.amps_typical) or 0.0 for part in parts]
        peak = math.fsum(peaks)
        if supply.amps is None or peak <= supply.amps:
            continue
        severity: Severity = "fault" if typical > supply.amps else "risk"
        yield _finding(supply, fed, (typical, peak), severity, fed[peaks.index(max(peaks))])


def _finding(
    supply: Supply, fed: tuple[str, ...], amps: tuple[float, float], severity: Severity, largest: str
) -> Finding:
    """`amps` in normal work and at the peak; `largest` the part that draws most."""
    typical, peak = amps
    return Finding(
        name="supply-overloaded",
        severity=severity,
        certainty="possible",
        part=fed[0],
        place=supply.place,
        others=fed[1:],
        message=f"{plain(supply.id)} gives {supply.amps:g} A, and its parts draw {typical:.1f} A, or "
        f"{peak:.1f} A if all peak at once.",
        figures=(
            Figure("gives", supply.amps, "A", "declared"),
            Figure("drawn in normal work", round(typical, 2), "A", "profile"),
            Figure("drawn at the peak", round(peak, 2), "A", "profile"),
        ),
        refuted_by="a meter at the supply under full load",
        fix=Fix(f"{_advice(fed, largest)} {SHORT}"),
    )


def _advice(fed: tuple[str, ...], largest: str) -> str:
    if len(fed) == 1:
        return f"Use a larger supply for {plain(largest)}."
    return f"Put {plain(largest)}, which draws most, on a supply of its own, or use a larger one."


def _rig(amps: float) -> str:
    power = f"power:\n  supplies: {{pier: {{volts: 12.8, amps: {amps:g}}}}}\n"
    power += "  leads: {a: {from: pier, to: main-camera}}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 2", "amps_peak: 3"), computer=PLAIN_PC) + power


CHECK = Check(
    name="supply-overloaded",
    summary="the parts on a 12 V supply draw more than it gives",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(Case("a 5 A supply for a camera", _rig(5), 0), Case("a 1.5 A supply for a camera", _rig(1.5), 1)),
)
