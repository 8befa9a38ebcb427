"""The 12 V side and the 5 V of USB as one object: `power` of `topo check --json`, and the whole of `topo power --json`.

Figures by state (`idle`, `typical`, `peak`) are [low, likely, high], or null where nothing is known or can be fed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from topo.model.power import LOAD_STATES
from topo.report.rounded import ranged, rounded

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import Finding
    from topo.model.power import ByState, FallOut, LeadPower, PlugPower, PowerNight

POWER_FORMAT = "topo.power.1"


def power_report_json(study: Study, findings: Sequence[Finding], tell: Any) -> dict[str, Any]:
    """All of `topo power --json`. `tell` makes an object of a finding."""
    return {
        "format": POWER_FORMAT, "rig": study.rig.name, "file": study.rig.file, "power": power_json(study),
        "night": night_volts_json(study.volts_at_night), "findings": [tell(finding) for finding in findings],
    }  # fmt: skip


def power_json(study: Study) -> dict[str, Any]:
    """Supplies, leads, plugs, USB plugs, batteries, loads that cannot be fed, and what is not judged."""
    power = study.power
    batteries = study.power_night.batteries if any(each.is_battery for each in study.rig.supplies) else ()
    return {
        "supplies": [
            {"id": each.id, "kind": each.kind, "volts": ranged(each.volts), "amps": _states(each.amps),
             "may_give_a": rounded(each.may_give_a), "feeds": list(each.fed), "basis": each.basis,
             "volts_basis": each.volts_basis}
            for each in power.sources
        ],
        "leads": [_lead(each) for each in power.leads],
        "plugs": [_plug(each) for each in power.plugs],
        "usb": [
            {"part": each.part, "plug": each.plug, "drawn_ma": rounded(each.drawn_ma),
             "may_give_ma": rounded(each.may_give_ma), "volts_at_socket": ranged(each.volts_at_socket),
             "volts": ranged(each.volts), "volts_min": rounded(each.floor), "hub_on_12v": each.fed_12v,
             "drawn_basis": each.drawn_basis, "may_give_basis": each.may_give_basis, "volts_basis": each.volts_basis}
            for each in study.usb_power
        ],
        "batteries": [
            {"supply": each.supply, "night_h": rounded(each.night_h), "lasts_h": ranged(each.lasts_h),
             "left_at_dawn": ranged(each.left_at_dawn), "falls_out": [fall_json(fall) for fall in each.falls]}
            for each in batteries
        ],
        "rings": [
            {"to": each.end, "first": each.first, "other": each.other.id, "amps_of_other": _states(each.other.amps)}
            for each in power.rings
        ],
        "cannot_be_fed": [
            {"supply": each.source, "state": each.state, "level": each.level, "share": rounded(each.share),
             "lead": each.lead}
            for each in power.unfed
        ],
        "not_judged": [
            *({"what": each.what, "name": each.name, "missing": list(each.missing)} for each in power.not_judged),
            *({"what": "usb", "name": each.part, "missing": list(each.missing)}
              for each in study.usb_power if each.missing),
        ],
    }  # fmt: skip


def _lead(each: LeadPower) -> dict[str, Any]:
    return {"id": each.id, "from": each.source, "to": each.to, "supply": each.supply,
            "length_m": rounded(each.length_m), "amps": _states(each.amps), "volts_from": _states(each.volts_from),
            "volts_to": _states(each.volts_to), "wire_limit_a": rounded(each.limit_a),
            "fuse_a": rounded(each.fuse_a), "guarded_by": each.guard, "basis": each.figures,
            "amps_basis": each.drawn, "wire_limit_basis": each.limit_basis, "fuse_basis": each.fuse_basis,
            "beside": list(each.beside), "amps_alone": None if each.alone is None else _states(each.alone)}  # fmt: skip


def _plug(each: PlugPower) -> dict[str, Any]:
    return {"part": each.part, "lead": each.lead, "amps": _states(each.amps), "volts": _states(each.volts),
            "volts_at_rest": ranged(each.at_rest), "volts_min": rounded(each.floor),
            "volts_max": rounded(each.ceiling), "basis": each.basis, "amps_basis": each.drawn,
            "volts_at_rest_basis": each.rest_basis, "volts_min_basis": each.floor_basis,
            "volts_max_basis": each.ceiling_basis}  # fmt: skip


def _states(states: ByState) -> dict[str, Any]:
    return {state: ranged(states.of(state)) for state in LOAD_STATES}


def fall_json(fall: FallOut) -> dict[str, Any]:
    """A part that falls below its lowest volts, and what goes with it."""
    return {
        "part": fall.part, "supply": fall.source, "at_h": rounded(fall.at_s / 3600),
        "lasts_h": None if fall.lasts_s is None else rounded(fall.lasts_s / 3600), "level": fall.level,
        "battery_low": fall.battery_low, "while_at_peak": list(fall.raised), "takes_power_of": list(fall.dark),
        "cuts_off": list(fall.cut_off),
    }  # fmt: skip


def night_volts_json(night: PowerNight) -> dict[str, Any]:
    """Volts at each plug and amps of each supply at each change of the loads."""
    return {
        "seconds": rounded(night.seconds),
        "times_s": [rounded(at) for at in night.times_s],
        "volts": [{"part": name, "volts": [ranged(each) for each in series]} for name, series in night.volts],
        "amps": [{"supply": name, "amps": [rounded(each) for each in series]} for name, series in night.amps],
        "falls_out": [fall_json(fall) for fall in night.falls],
    }
