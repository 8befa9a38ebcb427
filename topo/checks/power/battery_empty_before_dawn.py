"""A battery does not last through the night.

All that it feeds is followed through a usual night: coolers ramp at dusk, the mount slews, the focuser moves, heaters
are on for their share of the time. Its Ah are taken as old and as cold as it is, and by Peukert's law where it is lead-
acid. Used up means what you let it give: half of lead-acid, nine tenths of LiFePO4 unless the file says otherwise. The
volts of a LiFePO4 battery do not tell how full it is: 13.2 V at rest may be 40 or 80 percent.

Which part falls below its lowest volts first is told with what it takes along: whatever has its 12 V through it, and
whatever the computer reaches over it.

A fault where it is used up before dawn at the likely figures, or a part falls below its lowest volts; a risk where
only at the low end of what is uncertain. A battery's age is never known well: all of it is an estimate. Certain is it
only where even the best battery of its kind would not last, and the hours of the night are said.

Wrong if it has lasted such a night before, or if a coulomb counter shows more left.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import fixed
from topo.model.change import Proposal, SetSupply
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.wiring.places import place_of
from topo.words.apart import apart
from topo.words.falls import in_turn

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.power import BatteryNight

SIZES_AH = (7, 12, 20, 30, 50, 75, 100, 150, 200, 300)


def find(study: Study) -> Iterator[Finding]:
    """One finding for each battery that does not last."""
    if not any(supply.is_battery for supply in study.rig.supplies):
        return
    for night in study.power_night.batteries:
        if night.lasts_h.low >= night.night_h and not night.falls:
            continue
        early = night.lasts_h.likely < night.night_h
        source = next(each for each in study.power.sources if each.id == night.supply)
        stated = source.basis == "declared" and study.rig.night.facts.hours is not None
        yield Finding(
            name="battery-empty-before-dawn",
            severity="fault" if early else "risk",
            certainty="certain" if night.lasts_h.high < night.night_h and stated else "possible",
            part=night.supply,
            place=place_of(study.rig, night.supply),
            others=tuple(dict.fromkeys((*_fallen(night), *source.fed))),
            message=_message(night, early),
            figures=_figures(study, night),
            refuted_by="it has lasted such a night before, or a coulomb counter shows more left",
            fix=fixed(
                _offers(study, night), partial(_again, night.supply),
                "Use a larger battery, or take what draws most off it.",
            ),
        )  # fmt: skip


def _message(night: BatteryNight, early: bool) -> str:
    hours = night.lasts_h.likely if early else night.lasts_h.low
    said = f"{plain(night.supply)} is used up, as far as you let it, after {apart(hours, night.night_h)} h"
    said += f"{'' if early else ' at worst'}, and the night has {night.night_h:g} h."
    if hours >= night.night_h:
        said = f"{plain(night.supply)} lasts the {night.night_h:g} h, with too few volts."
    if night.falls:
        return f"{said} {in_turn(night.falls)}."
    return f"{said} No part stops before dawn, but the battery is drained deeper than it should be."


def _fallen(night: BatteryNight) -> Iterator[str]:
    """Those that fall out, each with what it takes with it."""
    for fall in night.falls:
        yield from (fall.part, *fall.dark, *fall.cut_off)


def _figures(study: Study, night: BatteryNight) -> tuple[Figure, ...]:
    return (
        Figure("hours it lasts", night.lasts_h, "h", "assumed"),
        Figure("hours of the night", night.night_h, "h", basis_of(study.rig.night.facts.hours)),
        Figure("charge left at dawn", night.left_at_dawn.scaled(100), "%", "assumed"),
    )


def _again(supply: str, study: Study) -> tuple[Figure, ...]:
    night = next((each for each in study.power_night.batteries if each.supply == supply), None)
    return () if night is None else _figures(study, night)


def _offers(study: Study, night: BatteryNight) -> Iterator[Proposal]:
    """The next larger sizes that would do by their Ah: of lead-acid two, since by Peukert's law less than in proportion
    may do."""
    supply = next(each for each in study.rig.supplies if each.id == night.supply)
    if supply.facts.ah is None or night.lasts_h.low <= 0:
        return
    ends_h = min((night.lasts_h.low, *(fall.at_s / 3600 for fall in night.falls if fall.at_s)))
    lithium = value_of(supply.facts.chemistry) == "lifepo4"
    need = supply.facts.ah.value * night.night_h / ends_h * (1.0 if lithium else 0.9)
    fit = [float(size) for size in SIZES_AH if size >= need and size > supply.facts.ah.value][: 1 if lithium else 2]
    for size in fit:
        words = f"a battery of {size:g} Ah in place of {plain(supply.id)}"
        yield Proposal((SetSupply(supply.id, "ah", size),), (words,))


def _rig(ah: float, more: str = "", typical: float = 2) -> str:
    facts = f"volts: 13.2, chemistry: lifepo4, ah: {ah:g}, charge_percent: 100, age_years: 1, night_celsius: 5{more}"
    power = f"power:\n  supplies: {{battery: {{{facts}}}}}\n"
    power += "  leads: {a: {from: battery, to: main-camera, length_m: 1, gauge_awg: 16, fuse_amps: 5, fuse_at_m: 0}}\n"
    camera = imaging("computer/usb3-1", f"amps_typical: {typical:g}", "amps_peak: 3", "volts_min: 11")
    return rig(camera) + "night: {hours: 8}\n" + power


CHECK = Check(
    name="battery-empty-before-dawn",
    summary="a battery does not last through the night",
    tested_by="a meter at the battery each hour; `topo night RIG` says what volts to expect",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(
        Case("16 Ah from a battery of 50 Ah", _rig(50), 0),
        Case("16 Ah from a battery of 12 Ah", _rig(12), 1),
        Case("half of it may be used", _rig(30, ", usable_percent: 50"), 1),
    ),
)
