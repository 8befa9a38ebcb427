"""A fuse is larger than the wire behind it can take.

A fuse protects the wire, not the device: it has to be at or below what the thinnest wire after it may carry, up to the
next fuse (US code 240.4(D), read in reprints; below 18 AWG its rule is carried on, since no code has those). Where no
fuse fits between the load and the wire, the wire is too thin.

A fault where the fuse is larger than the wire's limit; a risk where a box between may limit its channel to less, which
the file does not say. Certain where the fuse is past what one such wire can take in free air.

Wrong if the marking on the fuse or on the wire says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import amps_figures, fixed, lead_of, other_fuse, thicker, wire_words
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.change import Proposal
    from topo.model.feeds import Lead
    from topo.model.power import LeadPower

FREE_AIR = 2.3
"""Times the limit at which even one wire in free air is too hot: 16 A at 18 AWG, 55 A at 10 AWG (one handbook)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each lead whose fuse does not protect it."""
    sources = {each.id for each in study.rig.sources}
    for power in study.power.leads:
        fuse, limit = power.fuse_a, power.limit_a
        if fuse is None or limit is None or fuse <= limit or power.guard in sources:
            continue
        lead = lead_of(study, power.id)
        yield Finding(
            name="fuse-does-not-protect",
            severity="risk" if power.fuse_may_be_smaller else "fault",
            certainty="certain" if fuse > FREE_AIR * limit and not power.fuse_may_be_smaller else "possible",
            part=lead.to,
            place=lead.place,
            message=_message(lead, power),
            figures=_figures(power),
            refuted_by="the marking on the fuse or on the wire says otherwise",
            fix=fixed(
                _offers(study, lead, power), partial(_again, lead.id),
                f"Use a fuse of {limit:g} A or less there, or a thicker wire.",
            ),
        )  # fmt: skip


def _message(lead: Lead, power: LeadPower) -> str:
    where = "its fuse" if power.guard == lead.id else f"its fuse, at {plain(str(power.guard))},"
    said = f"The wire of {plain(lead.id)}, {wire_words(lead)}, can take {power.limit_a:g} A, but {where} is for "
    said += f"{power.fuse_a:g} A: the wire would burn first."
    if power.fuse_may_be_smaller:
        said += f" Unless {plain(lead.source)} limits that way to less, which the file does not say."
    return said


def _figures(power: LeadPower) -> tuple[Figure, ...]:
    return (
        Figure("fuse", power.fuse_a, "A", power.fuse_basis),
        Figure("wire's limit", power.limit_a, "A", power.limit_basis),
        *amps_figures(power.amps, power.drawn),
    )


def _again(lead_id: str, study: Study) -> tuple[Figure, ...]:
    power = study.power.lead(lead_id)
    return () if power is None else _figures(power)


def _offers(study: Study, lead: Lead, power: LeadPower) -> Iterator[Proposal]:
    yield from other_fuse(lead, power)
    yield from thicker(lead, power)


def _rig(fuse_amps: float, wire: str = "gauge_awg: 18", peak: float = 3) -> str:
    power = "power:\n  supplies: {pier: {volts: 12.8, amps: 20}}\n"
    power += f"  leads: {{a: {{from: pier, to: main-camera, length_m: 1, {wire}, fuse_amps: {fuse_amps:g}}}}}\n"
    return rig(imaging("computer/usb3-1", f"amps_peak: {peak:g}")) + power


CHECK = Check(
    name="fuse-does-not-protect",
    summary="a fuse is larger than the wire behind it can take",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(
        Case("5 A on 18 AWG", _rig(5), 0),
        Case("15 A on 18 AWG", _rig(15), 1),
        Case("30 A on 24 AWG", _rig(30, "gauge_awg: 24"), 1),
        Case("10 A on 1.5 mm²", _rig(10, "area_mm2: 1.5"), 0),
        Case("15 A on 1.5 mm²", _rig(15, "area_mm2: 1.5"), 1),
        Case("2 A on 30 AWG", _rig(2, "gauge_awg: 30", 0.2), 1),
    ),
)
