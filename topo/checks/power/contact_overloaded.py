"""A plug carries more than its kind may.

A plug is the hottest place of a lead: its contacts have the ohms of metres of wire, and they grow with wear and dew. A
barrel plug takes 3 A all night, not the 5 A some print; the yellow-tip kind 2 A (JEITA RC-5320A); a car plug's spring
tip 8 A at best (common practice). Heat is amps squared times ohms: 0.2 ohm of corrosion at 5 A is 5 W in one contact.

A fault where normal work passes it; a risk where the peak does; a note where only the high end of what is uncertain
does. Plugs the file does not name are not judged.

Wrong if the part's data sheet allows more, or if the plug stays cool through an hour of full load.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import amps_figures, at_least, fixed, lead_of, likely, over, over_alone
from topo.model.check import Case, Check
from topo.model.facts import Figure, value_of
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.power.bases import weakest
from topo.power.copper import contact_ohm, plug_limit_a
from topo.words.apart import apart
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.feeds import Connector, Lead
    from topo.model.power import LeadPower


def find(study: Study) -> Iterator[Finding]:
    """One finding for each lead with a plug that is too small, for the smaller of its two."""
    for power in study.power.leads:
        lead = lead_of(study, power.id)
        plug = _smaller(lead)
        if plug is None:
            continue
        most, states, once = plug_limit_a(plug), power.amps, ""
        if (found := over(states, most, partial(at_least, study, lead))) is None and (
                found := over_alone(power, most)) is not None:
            states, once = power.all_amps, f"Once {listed(power.beside)} is open: "
        if found is None:
            continue
        severity, certainty = found
        amps = states.typical if severity == "fault" else states.peak
        shown = 0.0 if amps is None else amps.high if severity == "note" and not once else amps.likely
        yield Finding(
            name="contact-overloaded",
            severity=severity,
            certainty=certainty,
            part=lead.to,
            place=lead.place,
            message=f"{once}{apart(shown, most)} A {'may run' if severity == 'note' else 'run'} through the {plug} "
            f"plug of {plain(lead.id)}{'' if severity == 'fault' else ' at the peak'}, which can take {most:g} A.",
            figures=_figures(lead, plug, power),
            refuted_by="the part's data sheet allows more, or the plug stays cool through an hour of full load",
            fix=fixed(
                iter(()), partial(_again, lead.id),
                "Use a plug made for that current, or divide the load over two leads.",
            ),
        )  # fmt: skip


def _smaller(lead: Lead) -> Connector | None:
    plugs = [fact.value for fact in (lead.facts.from_plug, lead.facts.to_plug) if fact is not None]
    return min(plugs, key=plug_limit_a, default=None)


def _figures(lead: Lead, plug: Connector, power: LeadPower) -> tuple[Figure, ...]:
    ohm = contact_ohm(plug, value_of(lead.facts.contact_milliohm)).likely
    return (
        Figure("the plug takes", plug_limit_a(plug), "A", "profile"),
        *amps_figures(power.amps, power.drawn),
        Figure("heat in its two contacts at the peak", round(likely(power.amps.peak) ** 2 * ohm, 2), "W",
               weakest(("profile", power.drawn))),
    )


def _again(lead_id: str, study: Study) -> tuple[Figure, ...]:
    power, lead = study.power.lead(lead_id), lead_of(study, lead_id)
    plug = _smaller(lead)
    return () if power is None or plug is None else _figures(lead, plug, power)


def _rig(typical: float, plug: str) -> str:
    power = "power:\n  supplies: {pier: {volts: 12, amps: 20, volts_by: meter}}\n"
    power += f"  leads: {{a: {{from: pier, to: main-camera, length_m: 1, gauge_awg: 16, to_plug: {plug}}}}}\n"
    return rig(imaging("computer/usb3-1", f"amps_typical: {typical:g}", f"amps_peak: {typical:g}")) + power


CHECK = Check(
    name="contact-overloaded",
    summary="a plug carries more than its kind may",
    explanation=__doc__,
    severities=("fault", "risk", "note"),
    find=find,
    scope="no-plug",
    cases=(
        Case("2 A through a barrel plug", _rig(2, "barrel-2.1"), 0),
        Case("5 A through a barrel plug", _rig(5, "barrel-2.1"), 1),
        Case("5 A through a genderless plug", _rig(5, "genderless-15"), 0),
    ),
)
