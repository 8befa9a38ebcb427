"""A fuse may open in normal work.

A small fuse carries its rating for hours at 25 C and ages above three quarters of it (fuse makers' guidance); at 135 %
it opens within the hour, at 200 % within minutes (UL/CSA 248-14). Resettable fuses and breakers may trip at their
rating in the heat. A fuse that opens is a fault to find, never a reason for a bigger fuse than the wire takes.

A fault where normal work passes the rating; a risk where the peak does; a note where normal work passes three quarters
of it, which is a risk for fuses that trip in the heat; a note too for leads side by side whose fuses hold only while
both of them carry.

Wrong if the fuse's marking says otherwise, or if it has held through such nights.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import amps_figures, fixed, lead_of, likely, other_fuse, thicker
from topo.model.check import Case, Check
from topo.model.facts import Figure, value_of
from topo.model.figures import percent
from topo.model.finding import Finding, Severity
from topo.model.plain import plain
from topo.power.copper import FUSE_SHARE, TRIP_IN_HEAT
from topo.words.apart import apart
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.change import Proposal
    from topo.model.feeds import FuseClass, Lead
    from topo.model.power import LeadPower


def find(study: Study) -> Iterator[Finding]:
    """One finding for each fuse that is too small for what runs through it."""
    for power in study.power.leads:
        lead = lead_of(study, power.id)
        fuse, where, kind = _fuse(study, lead)
        typical, peak = likely(power.amps.typical), likely(power.amps.peak)
        if fuse is None:
            continue
        if max(typical / FUSE_SHARE, peak) <= fuse:
            if likely(power.all_amps.peak) > fuse:
                yield _once_alone(lead, power, fuse)
            continue
        near: Severity = "risk" if kind in TRIP_IN_HEAT else "note"
        severity: Severity = "fault" if typical > fuse else "risk" if peak > fuse else near
        shown, when = (peak, "at the peak") if typical <= fuse < peak else (typical, "in normal work")
        yield Finding(
            name="fuse-blows-in-use",
            severity=severity,
            certainty="possible",
            part=lead.to,
            place=lead.place,
            message=f"{apart(shown, fuse)} A run through {plain(lead.id)} {when}, and {where} is for {fuse:g} A"
            + (f": more than {percent(FUSE_SHARE)} of it." if max(typical, peak) <= fuse else "."),
            figures=_figures(fuse, power),
            refuted_by="the fuse's marking says otherwise, or it has held through such nights",
            fix=fixed(
                _offers(lead, power), partial(_again, lead.id),
                "Divide the parts over two leads, or use a thicker wire with the fuse that fits it.",
            ),
        )  # fmt: skip


def _once_alone(lead: Lead, power: LeadPower, fuse: float) -> Finding:
    """Leads side by side: where one fuse opens, so does the other."""
    return Finding(
        name="fuse-blows-in-use",
        severity="note",
        certainty="possible",
        part=lead.to,
        place=lead.place,
        message=f"{plain(lead.id)} shares its current with {listed(power.beside)}: once that is open, "
        f"{apart(likely(power.all_amps.peak), fuse)} A run through it at the peak, and its fuse for {fuse:g} A opens "
        "too.",
        figures=(*_figures(fuse, power), Figure("alone, at the peak", power.all_amps.peak, "A", power.drawn)),
        refuted_by="each of them carries all of it alone",
        fix=fixed(iter(()), partial(_again, lead.id), "One lead that carries it all is simpler than two that share."),
    )  # fmt: skip


def _fuse(study: Study, lead: Lead) -> tuple[float | None, str, FuseClass | None]:
    """The fuse a lead's own current runs through: its own, or that of its way out of a block or box."""
    if lead.facts.fuse_amps is not None:
        return lead.facts.fuse_amps.value, "its fuse", value_of(lead.facts.fuse_class)
    for block in study.rig.blocks:
        if block.id == lead.source:
            return value_of(block.facts.fuse_amps), f"its fuse in {plain(block.id)}", value_of(block.facts.fuse_class)
    for box in study.rig.boxes:
        if box.id == lead.source:
            return value_of(box.channel(lead.socket).fuse_amps), f"its fuse in {plain(box.id)}", None
    return None, "", None


def _figures(fuse: float, power: LeadPower) -> tuple[Figure, ...]:
    return (Figure("fuse", fuse, "A", "declared"), *amps_figures(power.amps, power.drawn))


def _again(lead_id: str, study: Study) -> tuple[Figure, ...]:
    power = study.power.lead(lead_id)
    fuse = None if power is None else _fuse(study, lead_of(study, lead_id))[0]
    return () if power is None or fuse is None else _figures(fuse, power)


def _offers(lead: Lead, power: LeadPower) -> Iterator[Proposal]:
    if lead.facts.fuse_amps is not None:
        yield from other_fuse(lead, power)
        yield from thicker(lead, power)


def _rig(peak: float, typical: float = 2, more: str = "") -> str:
    power = "power:\n  supplies: {pier: {volts: 12, amps: 20, volts_by: meter}}\n"
    power += f"  leads: {{a: {{from: pier, to: main-camera, length_m: 1, gauge_awg: 16, fuse_amps: 5{more}}}}}\n"
    return rig(imaging("computer/usb3-1", f"amps_typical: {typical:g}", f"amps_peak: {peak:g}")) + power


CHECK = Check(
    name="fuse-blows-in-use",
    summary="a fuse may open in normal work",
    tested_by="a clamp meter round the lead; `topo power RIG` says what amps to expect there",
    explanation=__doc__,
    severities=("fault", "risk", "note"),
    find=find,
    scope="no-plug",
    cases=(
        Case("3 A through a fuse of 5 A", _rig(3), 0),
        Case("a peak of 6 A through a fuse of 5 A", _rig(6), 1),
        Case("4.2 A all night through a fuse of 5 A", _rig(4.5, 4.2), 1),
        Case("the same through one that resets itself", _rig(4.5, 4.2, ", fuse_class: resettable"), 1),
    ),
)
