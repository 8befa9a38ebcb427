"""A part gets fewer volts than it works at.

A lead loses volts in both of its wires, in its plugs and in its fuse: 5 m of 24 AWG cost 2.5 V at 3 A. The volts at
each part are solved along the declared leads, with every part in normal work and at its peak: electronics draw more
amps as volts fall, heaters less. A cooler loses depth, a mount loses steps and a camera drops off USB when they fall
below what it works at. A hub that browns out takes with it all that is plugged into it, and whatever passes its 12 V
on: these are named, with when that is in a usual night.

A fault where it is so in normal work, a risk where only the peak does it, a note where only the low end of what is
uncertain does (supply low, wire thin and warm, contacts worn). Parts and leads with figures missing are listed as not
judged. Too many volts are a finding of their own.

Wrong if a meter at the part's own plug shows volts it works at, under load.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import at_least, fixed, gains, lead_of, likely, thicker
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Certainty, Finding, Severity
from topo.model.plain import plain
from topo.power.copper import AREAS_MM2
from topo.wiring.places import place_of
from topo.words.falls import taken_words, when_words

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.change import Proposal
    from topo.model.power import FallOut, PlugPower


def find(study: Study) -> Iterator[Finding]:
    """One finding for each part whose volts fall below its window."""
    for plug in study.power.plugs:
        if (found := _under(study, plug)) is None:
            continue
        severity, certainty = found
        volts = plug.volts.typical if severity == "fault" else plug.volts.peak
        when = {"fault": "", "risk": " at the peak", "note": " at worst"}[severity]
        shown = 0.0 if volts is None else volts.low if severity == "note" else volts.likely
        fall = None if severity == "note" else _fall(study, plug.part)
        yield Finding(
            name="volts-out-of-window",
            severity=severity,
            certainty=certainty,
            part=plug.part,
            place=place_of(study.rig, plug.part),
            others=() if fall is None else (*fall.dark, *fall.cut_off),
            message=f"{plain(plug.part)} gets {shown:.1f} V{when}, less than it works at."
            + ("" if severity == "note" else _night_words(fall)),
            figures=_figures(plug),
            refuted_by="a meter at its own plug shows volts it works at, under load",
            fix=fixed(
                _offers(study, plug), partial(_again, plug.part),
                "Use a thicker or shorter lead, or feed it straight from the supply.",
            ),
        )  # fmt: skip


def _fall(study: Study, part: str) -> FallOut | None:
    """When it falls out in a usual night, by what is drawn and not by a battery that runs down."""
    falls = (each for each in study.power_night.falls if each.part == part and not each.battery_low)
    return next((each for each in falls if each.level == "likely"), None)


def _night_words(fall: FallOut | None) -> str:
    if fall is None:
        return " In a usual night it does not come to that."
    taken = taken_words(fall)
    takes = f", and takes {taken} with it" if taken else ""
    return f" In a usual night it falls out {when_words(fall)}{takes}."


def _under(study: Study, plug: PlugPower) -> tuple[Severity, Certainty] | None:
    floor, typical, peak = plug.floor, plug.volts.typical, plug.volts.peak
    if floor is None:
        return None
    if typical is not None and typical.likely < floor:
        at_rest = plug.at_rest.high
        most = at_rest - at_least(study, lead_of(study, plug.lead)) * (at_rest - typical.high)
        return "fault", "certain" if most < floor and plug.drawn != "assumed" else "possible"
    if peak is not None and peak.likely < floor:
        return "risk", "possible"
    if any(each is not None and 0 < each.low < floor for each in (typical, peak)):  # 0: cannot be fed, told elsewhere
        return "note", "possible"
    return None


def _figures(plug: PlugPower) -> tuple[Figure, ...]:
    return (
        Figure("volts in normal work", plug.volts.typical, "V", plug.basis),
        Figure("volts at the peak", plug.volts.peak, "V", plug.basis),
        Figure("lowest it works at", plug.floor, "V", plug.floor_basis),
    )


def _again(part: str, study: Study) -> tuple[Figure, ...]:
    plug = study.power.plug(part)
    return () if plug is None or plug.floor is None else _figures(plug)


def _offers(study: Study, plug: PlugPower) -> Iterator[Proposal]:
    """Thicker wire for the lead on the way that loses most."""
    way = []
    power = study.power.lead(plug.lead)
    while power is not None:
        way.append(power)
        power = next((each for each in study.power.leads if power.source in lead_of(study, each.id).ends), None)
    lost = [likely(each.volts_from.peak) - likely(each.volts_to.peak) for each in way]
    worst = way[lost.index(max(lost))]
    short = _short_of(study, plug)
    yield from (each for each in thicker(lead_of(study, worst.id), worst, len(AREAS_MM2))
                if short is None or gains(worst, each) > short)  # fmt: skip


def _short_of(study: Study, plug: PlugPower) -> float | None:
    """Volts it lacks, at the end where it lacks them; None where it cannot be fed."""
    severity = (_under(study, plug) or ("note", ""))[0]
    volts = plug.volts.typical if severity == "fault" else plug.volts.peak
    if volts is None or plug.floor is None or not volts.low:
        return None
    return plug.floor - (volts.low if severity == "note" else volts.likely)


def _rig(gauge_awg: int, length_m: float = 5, volts: float = 12.8) -> str:
    facts = ("amps_typical: 2", "amps_peak: 3", "volts_min: 11", "volts_max: 14")
    power = f"power:\n  supplies: {{pier: {{volts: {volts:g}, amps: 10, volts_by: meter}}}}\n"
    power += f"  leads: {{a: {{from: pier, to: main-camera, length_m: {length_m:g}, gauge_awg: {gauge_awg}}}}}\n"
    return rig(imaging("computer/usb3-1", *facts)) + power


CHECK = Check(
    name="volts-out-of-window",
    summary="a part gets fewer volts than it works at",
    tested_by="a meter at the plug under full load; `topo power RIG` says what volts to expect there",
    explanation=__doc__,
    severities=("fault", "risk", "note"),
    find=find,
    scope="no-plug",
    cases=(
        Case("5 m of 14 AWG to a camera", _rig(14), 0),
        Case("5 m of 24 AWG to the same camera", _rig(24), 1),
        Case("10 m of 16 AWG from 12 V, at the low end of all figures", _rig(16, 10, 12), 1),
    ),
)
