"""A fuse is larger than its wire can take, or smaller than what runs through it.

A fuse protects the wire, not the device: it has to be at or below what the thinnest wire after it may carry, and above
the current of normal work by a quarter (US code 240.4(D) and 210.20(A), read in reprints). A fuse that blows is a fault
to find, never a reason for a bigger fuse; where no fuse fits between the two, the wire is too thin.

A fault where the fuse is larger than the wire's limit; a risk where the peak passes the fuse.

Refuted by the marking on fuse and wire. Mains supplies stay closed; follow local codes.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure, value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.power.drop import DEVICE_LIMIT_A, lead_amps

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Lead


def find(study: Study) -> Iterator[Finding]:
    """One finding for each fuse that does not fit its lead."""
    peak = {
        part.id: value_of(part.facts.amps_peak) or value_of(part.facts.amps_typical) or 0.0 for part in study.rig.parts
    }
    for lead in study.rig.leads:
        limit = DEVICE_LIMIT_A.get(lead.gauge_awg or 0)
        amps = lead_amps(study.rig, lead, peak)
        if lead.fuse_amps is None:
            continue
        if limit is not None and lead.fuse_amps > limit:
            figures = (Figure("fuse", lead.fuse_amps, "A", "declared"), Figure("wire's limit", limit, "A", "profile"))
            yield _finding(
                lead,
                f"The fuse of {plain(lead.id)} is {lead.fuse_amps:g} A, and {lead.gauge_awg} AWG takes {limit:g} A: "
                "the wire would burn first.",
                figures,
                fault=True,
                advice=f"Use a fuse of {limit:g} A or less there, or a thicker wire.",
            )
        elif amps > lead.fuse_amps:
            figures = (Figure("fuse", lead.fuse_amps, "A", "declared"), Figure("peak", round(amps, 2), "A", "profile"))
            yield _finding(
                lead,
                f"{amps:.1f} A may run through {plain(lead.id)} at the peak, and its fuse is {lead.fuse_amps:g} A.",
                figures,
                fault=False,
                advice="Divide the parts over two leads, or use a thicker wire with the fuse that fits it.",
            )


def _finding(lead: Lead, message: str, figures: tuple[Figure, ...], fault: bool, advice: str) -> Finding:
    return Finding(
        name="fuse-does-not-protect",
        severity="fault" if fault else "risk",
        certainty="certain" if fault else "possible",
        part=lead.to,
        place=lead.place,
        message=message,
        figures=figures,
        refuted_by="the marking on the fuse and on the wire",
        fix=Fix(f"{advice} {SHORT}"),
    )


def _rig(fuse_amps: float, peak: float = 3) -> str:
    power = "power:\n  supplies: {pier: {volts: 12.8, amps: 20}}\n"
    power += f"  leads: {{a: {{from: pier, to: main-camera, length_m: 1, gauge_awg: 18, fuse_amps: {fuse_amps:g}}}}}\n"
    return rig(imaging("computer/usb3-1", f"amps_peak: {peak:g}")) + power


CHECK = Check(
    name="fuse-does-not-protect",
    summary="a fuse is larger than its wire can take, or smaller than what runs through it",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(
        Case("5 A on 18 AWG", _rig(5), 0),
        Case("15 A on 18 AWG", _rig(15), 1),
        Case("6 A through a fuse of 5 A", _rig(5, 6), 1),
    ),
)
