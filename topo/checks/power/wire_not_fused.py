"""Nothing guards a wire: a short would make it the fuse.

Every wire needs a fuse, or a supply that limits itself to what the wire can take, between it and where the current
comes from. A battery can give over a thousand amperes. A mains supply of few amperes guards thick wire by itself, at
about 1.25 times its rating (makers print 105 to 150 %; from memory); one of 10 A is no limited source (IEC 60950-1
table 2B).

A fault on a battery; a risk on a mains supply that gives more than the wire can take, or where the file does not say
what the source is. One finding for all that is unguarded behind the same lead.

Wrong if there is a fuse that the file leaves out.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import amps_figures, behind, fixed, lead_of, other_fuse, thicker, wire_words
from topo.model.check import Case, Check
from topo.model.facts import Figure, value_of
from topo.model.finding import Finding
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.change import Proposal
    from topo.model.feeds import Lead
    from topo.model.power import LeadPower


def find(study: Study) -> Iterator[Finding]:
    """One finding for each lead that nothing guards, unless one before it is told already."""
    told: set[str] = set()
    batteries = {each.id for each in study.rig.supplies if each.is_battery}
    for power in study.power.leads:
        if not _is_bare(study, power):
            continue
        if power.source in told:
            told.update(lead_of(study, power.id).ends)
            continue
        lead = lead_of(study, power.id)
        told.update(lead.ends)
        battery = power.supply in batteries
        yield Finding(
            name="wire-not-fused",
            severity="fault" if battery and not power.fuse_may_be_smaller else "risk",
            certainty="certain" if battery and not power.fuse_may_be_smaller else "possible",
            part=lead.to,
            place=lead.place,
            others=behind(study, lead),
            message=_message(study, lead, power, battery),
            figures=_figures(power),
            refuted_by="there is a fuse that the file leaves out",
            fix=fixed(
                _offers(lead, power), partial(_again, lead.id),
                f"Put a fuse into {plain(lead.id)} where it begins, for no more than its wire can take.",
            ),
        )  # fmt: skip


def _is_bare(study: Study, power: LeadPower) -> bool:
    """Nothing guards it, or only a source that gives more than the wire can take."""
    if power.fuse_a is None:
        return True
    by_source = any(each.id == power.guard for each in study.rig.sources)
    return by_source and power.limit_a is not None and power.fuse_a > power.limit_a


def _message(study: Study, lead: Lead, power: LeadPower, battery: bool) -> str:
    said = f"Nothing guards {plain(lead.id)} ({wire_words(lead)}): it has no fuse, and "
    if battery:
        return said + f"{plain(power.supply)} is a battery, which can give over a thousand amperes."
    supply = next((each for each in study.rig.supplies if each.id == power.supply), None)
    if supply is None or value_of(supply.facts.kind) != "mains":
        return said + f"what {plain(power.supply)} gives into a short is not known."
    if supply.amps is None:
        return said + f"how much {plain(power.supply)} may give is not known."
    return said + f"{plain(power.supply)} gives {supply.amps:g} A and more, which that wire does not stand."


def _figures(power: LeadPower) -> tuple[Figure, ...]:
    limit = () if power.limit_a is None else (Figure("wire's limit", power.limit_a, "A", power.limit_basis),)
    fuse = Figure("guarded by", power.fuse_a, "A", power.fuse_basis) if power.fuse_a is not None else None
    return (*limit, *((fuse,) if fuse is not None else ()), *amps_figures(power.amps, power.drawn))


def _again(lead_id: str, study: Study) -> tuple[Figure, ...]:
    power = study.power.lead(lead_id)
    return () if power is None else _figures(power)


def _offers(lead: Lead, power: LeadPower) -> Iterator[Proposal]:
    yield from other_fuse(lead, power)
    yield from thicker(lead, power)


def _rig(supply: str, more: str = "", wire: str = "gauge_awg: 18") -> str:
    power = f"power:\n  supplies: {{pier: {{volts: 13.2, {supply}}}}}\n"
    power += f"  leads: {{a: {{from: pier, to: main-camera, length_m: 1, {wire}{more}}}}}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 2", "amps_peak: 3")) + power


CHECK = Check(
    name="wire-not-fused",
    summary="nothing guards a wire",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(
        Case("a fuse on a battery's lead", _rig("chemistry: lifepo4", ", fuse_amps: 5"), 0),
        Case("none on a battery's lead", _rig("chemistry: lifepo4"), 1),
        Case("a mains supply of 5 A on 18 AWG", _rig("kind: mains, amps: 5"), 0),
        Case("a mains supply of 20 A on 18 AWG", _rig("kind: mains, amps: 20"), 1),
        Case("a supply of unknown kind on 20 AWG", _rig("amps: 3", wire="gauge_awg: 20"), 1),
    ),
)
