"""A fuse sits too far from the battery: nothing guards the wire before it.

The fuse goes to the battery's positive pole, or within 7 inches (178 mm) of it; within 40 inches (1.016 m) if the wire
is in a sheath all the way (33 CFR 183.455(b) for small craft, read in a reprint). A fuse at the far end guards the part
and leaves the wire to burn.

A risk past 178 mm, a fault past 1.016 m. Where the file does not say where the fuse sits, it is listed as not judged.

Wrong if there is a second fuse nearer the battery that the file leaves out.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import AT_SOURCE_M, fixed, lead_of
from topo.model.change import Proposal, SetLead
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.feeds import Lead

AT_SOURCE_MOST_M = 0.178
SHEATHED_MOST_M = 1.016


def find(study: Study) -> Iterator[Finding]:
    """One finding for each fused lead of a battery whose fuse is too far along it."""
    batteries = {each.id for each in study.rig.supplies if each.is_battery}
    for power in study.power.leads:
        lead = lead_of(study, power.id)
        far = lead.facts.fuse_at_m
        if power.source not in batteries or lead.facts.fuse_amps is None or far is None:
            continue
        if far.value <= AT_SOURCE_MOST_M:
            continue
        yield Finding(
            name="fuse-in-wrong-place",
            severity="fault" if far.value > SHEATHED_MOST_M else "risk",
            certainty="certain",
            part=lead.to,
            place=lead.place,
            message=f"The fuse of {plain(lead.id)} sits {far.value:g} m from {plain(power.source)}: nothing guards the "
            "wire before it.",
            figures=_figures(lead),
            refuted_by="there is a second fuse nearer the battery",
            fix=fixed(
                iter((Proposal((SetLead(lead.id, "fuse_at_m", AT_SOURCE_M),)),)),
                partial(_again, lead.id),
                "Put the fuse at the battery's positive pole.",
            ),
        )  # fmt: skip


def _figures(lead: Lead) -> tuple[Figure, ...]:
    far = lead.facts.fuse_at_m
    return (
        Figure("wire before the fuse", None if far is None else far.value, "m", "declared"),
        Figure("most", AT_SOURCE_MOST_M, "m", "profile"),
    )


def _again(lead_id: str, study: Study) -> tuple[Figure, ...]:
    return _figures(lead_of(study, lead_id))


def _rig(fuse_at_m: float) -> str:
    power = "power:\n  supplies: {battery: {volts: 13.2, amps: 20, chemistry: lifepo4}}\n"
    power += "  leads: {a: {from: battery, to: main-camera, length_m: 2, gauge_awg: 16, fuse_amps: 5, "
    power += f"fuse_at_m: {fuse_at_m:g}}}}}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 2", "amps_peak: 3")) + power


CHECK = Check(
    name="fuse-in-wrong-place",
    summary="a fuse sits too far from the battery",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(
        Case("a fuse 0.1 m from the battery", _rig(0.1), 0),
        Case("a fuse at the far end", _rig(1.9), 1),
        Case("a fuse 0.5 m along", _rig(0.5), 1),
    ),
)
