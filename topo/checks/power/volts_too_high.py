"""A part gets more volts than it can take: that can destroy it the moment it is plugged in.

Volts are highest with nothing else drawn, and then the whole lead has those of the supply. A supply set to 13.8 V is
above '12 V plus or minus 10 %', and a LiFePO4 battery that rests at 13.2 V has 14.6 V while it is charged. A charger
left on a lead-acid battery that follows temperature gives more in the cold: 3 to 5 mV for each kelvin below 25 C and
each of six cells, so that 13.6 V become 14.5 V at -10 C. A supply whose volts nobody measured counts as its label plus
and minus a share: 5 %, or 10 % where they can be set.

A fault where the likely volts pass what the part can take; a risk where only the high end of what is uncertain does.
Nothing is said of parts whose highest volts nobody stated: they are listed as not judged.

Wrong if a meter at the part's own plug shows less, with nothing else on the line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import fixed
from topo.model.change import Proposal, SetSupply
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.wiring.places import place_of
from topo.words.apart import apart

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.power import PlugPower



def find(study: Study) -> Iterator[Finding]:
    """One finding for each part that may get too much."""
    for plug in study.power.plugs:
        if plug.ceiling is None or plug.at_rest.high <= plug.ceiling:
            continue
        is_likely = plug.at_rest.likely > plug.ceiling
        yield Finding(
            name="volts-too-high",
            severity="fault" if is_likely else "risk",
            certainty="certain" if plug.at_rest.low > plug.ceiling else "possible",
            part=plug.part,
            place=place_of(study.rig, plug.part),
            message=_message(plug, plug.ceiling, is_likely, charger := _charger(study, plug)),
            figures=_figures(plug),
            refuted_by="a meter at its own plug shows less, with nothing else on the line",
            fix=fixed(
                _offers(study, plug) if is_likely else iter(()), partial(_again, plug.part),
                "Take the charger off before the part is plugged in." if charger else
                "Do not plug it in before a meter shows volts that it can take." if is_likely else
                "Measure the volts at its plug, and write `volts_by: meter` with what you read.",
            ),
        )  # fmt: skip


def _charger(study: Study, plug: PlugPower) -> str:
    """The battery a part hangs on, where a charger is left on it; empty otherwise."""
    lead = study.power.lead(plug.lead)
    return next((each.id for each in study.rig.supplies if lead is not None and each.id == lead.supply
                 and each.facts.charger_volts is not None), "")  # fmt: skip


def _message(plug: PlugPower, most: float, is_likely: bool, charger: str) -> str:
    while_charged = f" while the charger is on {plain(charger)}," if charger else ""
    if is_likely:
        gets = f"{plain(plug.part)} gets {apart(plug.at_rest.likely, most)} V{while_charged}"
        return f"{gets} and can take {most:g} V: that can destroy it."
    if charger:
        return (
            f"{plain(plug.part)} can take {most:g} V, and may get up to {apart(plug.at_rest.high, most)} V"
            f"{while_charged[:-1]}: that could destroy it."
        )
    return (
        f"{plain(plug.part)} can take {most:g} V, and its supply may give up to {apart(plug.at_rest.high, most)} V: "
        "that could destroy it."
    )


def _figures(plug: PlugPower) -> tuple[Figure, ...]:
    return (
        Figure("volts with nothing drawn", plug.at_rest, "V", plug.rest_basis),
        Figure("most it can take", plug.ceiling, "V", plug.ceiling_basis),
    )


def _again(part: str, study: Study) -> tuple[Figure, ...]:
    plug = study.power.plug(part)
    return () if plug is None or plug.ceiling is None else _figures(plug)


def _offers(study: Study, plug: PlugPower) -> Iterator[Proposal]:
    """The supply set, or exchanged, so that no part on it gets more than it can take at any end."""
    lead = study.power.lead(plug.lead)
    supply = next((each for each in study.rig.supplies if lead is not None and each.id == lead.supply), None)
    if supply is None or supply.is_battery:
        return
    ceilings = [each.ceiling for each in study.power.plugs
                if each.ceiling is not None and (of := study.power.lead(each.lead)) is not None
                and of.supply == supply.id]  # fmt: skip
    share = plug.at_rest.high / plug.at_rest.likely
    volts = math.floor(10 * min(ceilings) / share) / 10
    if volts < supply.volts:
        adjustable = supply.facts.adjustable is not None and supply.facts.adjustable.value
        buys = () if adjustable else (f"a supply of {volts:g} V in place of {plain(supply.id)}",)
        yield Proposal((SetSupply(supply.id, "volts", volts),), buys)


def _rig(volts: float, more: str = "") -> str:
    power = f"power:\n  supplies: {{pier: {{volts: {volts:g}, amps: 10{more}}}}}\n"
    power += "  leads: {a: {from: pier, to: main-camera, length_m: 1, gauge_awg: 16, fuse_amps: 5}}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 2", "volts_min: 11", "volts_max: 14")) + power


CHARGED = ", charger_volts: 13.4, charger_amps: 4, charger_compensates: true, night_celsius: -10"

CHECK = Check(
    name="volts-too-high",
    summary="a part gets more volts than it can take",
    tested_by="a meter at the plug before anything is connected; `topo power RIG` says what volts to expect there",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(
        Case("12.8 V to a part that can take 14 V", _rig(12.8), 0),
        Case("14.6 V to the same part", _rig(14.6), 1),
        Case("13.8 V on a label", _rig(13.8), 1),
        Case("13.8 V by a meter", _rig(13.8, ", volts_by: meter"), 0),
        Case("a battery", _rig(12.7, ", chemistry: agm"), 0),
        Case("a charger of 13.4 V left on it, which follows the cold", _rig(12.7, ", chemistry: agm" + CHARGED), 1),
    ),
)
