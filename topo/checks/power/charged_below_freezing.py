"""A charger stays on a LiFePO4 battery that is below freezing.

Below 0 °C lithium plates out inside it while it is charged, which ages it for good and can make it unsafe. Two makers'
sheets forbid charging below 0 °C, two others below -10 °C: its label rules. Giving current in the cold does no harm.
Lead-acid batteries may be charged in the cold.

A fault below -10 °C, a risk below 0 °C. Where only the night's coldest air is known the battery is taken to be 0 to 10
degrees warmer (our own, no source), and where only the colder end of that is below freezing it is a note.

Wrong if the battery warms itself, or if its own electronics or the charger refuse to charge it in the cold.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import fixed
from topo.model.check import Case, Check
from topo.model.facts import Basis, Figure, Range3, value_of
from topo.model.finding import Finding, Severity
from topo.model.plain import plain
from topo.wiring.places import place_of

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.feeds import Supply

FREEZING_C, SOME_ALLOW_C = 0.0, -10.0
"""Below which two makers' sheets forbid charging LiFePO4, and two others."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each LiFePO4 battery with a charger on it in the cold."""
    for supply in study.rig.supplies:
        facts = supply.facts
        cold = _celsius(study, supply)
        if value_of(facts.chemistry) != "lifepo4" or facts.charger_volts is None or cold is None:
            continue
        if cold.low >= FREEZING_C:
            continue
        severity: Severity = "note" if cold.likely >= FREEZING_C else "risk" if cold.likely >= SOME_ALLOW_C else "fault"
        basis: Basis = "declared" if facts.night_celsius is not None else "assumed"
        about = next((each.to for each in study.rig.leads if each.source == supply.id), supply.id)
        gets = f"is at {cold.likely:g} °C" if cold.low == cold.high else f"may get down to {cold.low:g} °C"
        yield Finding(
            name="charged-below-freezing",
            severity=severity,
            certainty="possible",
            part=about,
            place=place_of(study.rig, supply.id),
            message=f"{plain(supply.id)}, LiFePO4, {gets} with its charger on: charging it below freezing ruins it.",
            figures=(Figure("its temperature", cold, "°C", basis),
                     Figure("charged to", facts.charger_volts.value, "V", facts.charger_volts.basis)),
            refuted_by="the battery's label allows it, it warms itself, or nothing charges it in the cold",
            fix=fixed(
                iter(()), lambda after: (),
                f"Take the charger off {plain(supply.id)} for the night, and charge it where it is above freezing; or "
                "keep it warm.",
            ),
        )  # fmt: skip


def _celsius(study: Study, supply: Supply) -> Range3 | None:
    """How cold a battery is at night: as stated, or a little warmer than the coldest air; None where neither is."""
    own, air = value_of(supply.facts.night_celsius), value_of(study.rig.night.facts.coldest_celsius)
    if own is not None:
        return Range3.of(own)
    return None if air is None else Range3(air, air + 5, air + 10)


def _rig(battery: str, night: str = "") -> str:
    power = f"power:\n  supplies: {{battery: {{volts: 13.2, amps: 30, ah: 50, charge_percent: 100, {battery}}}}}\n"
    power += "  leads: {a: {from: battery, to: main-camera, length_m: 1, gauge_awg: 16, fuse_amps: 5, fuse_at_m: 0}}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 1", "amps_peak: 2")) + night + power


LITHIUM = "chemistry: lifepo4, charger_volts: 14.2, charger_amps: 5"

CHECK = Check(
    name="charged-below-freezing",
    summary="a charger stays on a LiFePO4 battery below freezing",
    tested_by="a thermometer at the battery before dawn, and its label",
    explanation=__doc__,
    severities=("fault", "risk", "note"),
    find=find,
    scope="no-plug",
    cases=(
        Case("a charger on it at 4 °C", _rig(f"{LITHIUM}, night_celsius: 4"), 0),
        Case("at -3 °C without a charger", _rig("chemistry: lifepo4, night_celsius: -3"), 0),
        Case("lead-acid at -3 °C", _rig(f"{LITHIUM.replace('lifepo4', 'agm')}, night_celsius: -3"), 0),
        Case("a charger on it at -3 °C", _rig(f"{LITHIUM}, night_celsius: -3"), 1),
        Case("at -15 °C", _rig(f"{LITHIUM}, night_celsius: -15"), 1),
        Case("on a night that gets down to -2 °C", _rig(LITHIUM, "night: {coldest_celsius: -2}\n"), 1),
    ),
)
