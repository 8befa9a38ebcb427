"""The report as one JSON object, `topo.check.1`. Its schema stands beside this file, in `check.schema.json`.

Ranges are [low, likely, high]. What is not known, and what has no end, is null. Part ids are as in the rig file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from topo.model.change import (
    AddCard,
    AddPart,
    Change,
    MovePlug,
    SetCable,
    SetLead,
    SetSerial,
    SetSupply,
    SetUse,
    SwapPlugs,
)
from topo.model.facts import Figure, Range3, value_of
from topo.model.rig import COMPUTER
from topo.report.power_json import power_json
from topo.report.rounded import ranged as ranged
from topo.report.rounded import rounded as rounded
from topo.wiring.instructions import instructions

if TYPE_CHECKING:
    from topo.model.finding import Finding, Fix, Plan
    from topo.model.night import Guided
    from topo.model.outcome import DeviceOutcome, Limit, LinkOutcome
    from topo.model.speed import Speed
    from topo.report.compose import Report

FORMAT = "topo.check.1"


def report_json(report: Report) -> dict[str, Any]:
    """The report as a dictionary for `json.dumps`, with the keys of the schema in a fixed order."""
    return {
        "format": FORMAT,
        "rig": report.rig,
        "file": report.file,
        "verdict": report.verdict,
        "links": [_link(link) for link in report.study.links],
        "devices": [
            _device(device, report.study.verdict_on(device.id)) for device in report.study.devices
        ],
        "power": power_json(report.study),
        "findings": [finding_object(finding) for finding in report.findings],
        "first": None if report.first is None else plan_json(report.first),
        "assumptions": list(report.assumptions),
        "plugins_failed": list(report.troubles),
    }


def _link(link: LinkOutcome) -> dict[str, Any]:
    return {
        "id": link.id,
        "kind": link.kind,
        "direction": link.direction,
        "label": link.label,
        "legs": list(link.legs),
        "ceiling_mb_per_s": rounded(link.ceiling_mb_per_s),
        "expected_mb_per_s": ranged(link.expected_mb_per_s),
        "reserved": rounded(link.reserved),
        "load_average": rounded(link.load_average),
        "load_peak": rounded(link.load_peak),
        "asked_mb_per_s": rounded(link.asked_mb_per_s),
        "carries": list(link.carries),
        "basis": link.basis,
        "assumption": link.assumption or None,
    }


def _device(device: DeviceOutcome, judged: Guided | None) -> dict[str, Any]:
    return {
        "id": device.id,
        "role": device.role,
        "path": list(device.path),
        "speed_mbit_per_s": _mbit(device.speed),
        "could_be_mbit_per_s": _mbit(device.could_be),
        "limited_by": _limit(device.limited_by),
        "moves": device.flow,
        "frame_bytes": device.frame_bytes,
        "cadence_s": rounded(device.cadence_s),
        "download_s": _two("alone", device.alone_s, "together", device.together_s),
        "asked_mb_per_s": rounded(device.asked_mb_per_s),
        "gets_mb_per_s": ranged(device.gets_mb_per_s),
        "guide_delay_s": _two("fair", device.delay_fair_s, "last", device.delay_last_s),
        "chance": rounded(device.chance),
        "lost": device.lost,
        "lost_after_s": rounded(device.lost_after_s),
        "night": None if judged is None else _guided(judged),
        "stream": _stream(device),
    }


def _guided(judged: Guided) -> dict[str, Any]:
    """What the night does to a guide camera and, through it, to each camera's pictures."""
    return {
        "severity": judged.severity,
        "certainty": judged.certainty,
        "why": judged.why,
        "never": judged.delay.never,
        "always_late_s": rounded(judged.delay.always_s),
        "pictures": [
            {
                "camera": each.camera,
                "severity": each.severity,
                "certainty": each.certainty,
                "why": each.why,
                "wider_at_most": rounded(each.most),
                "corners": [
                    {
                        "corner": cost.corner,
                        "error_arcsec": {"without": rounded(cost.without_arcsec), "with": rounded(cost.with_arcsec)},
                        "wider": {"middle": rounded(cost.widening), "of_95": rounded(cost.widening_most)},
                        "spoiled": rounded(cost.spoiled),
                    }
                    for cost in each.costs
                ],
            }
            for each in judged.sentences
        ],
    }


def _stream(device: DeviceOutcome) -> dict[str, Any] | None:
    """What a stream gets over the night, and while downloads press it down."""
    if device.night_mb_per_s is None:
        return None
    return {
        "night_mb_per_s": ranged(device.night_mb_per_s), "skipped": ranged(device.skipped),
        "dip_s": rounded(device.dip_s), "dip_every_s": rounded(device.dip_every_s),
    }


def _mbit(speed: Speed | None) -> float | int | None:
    return None if speed is None else rounded(speed.mbit)


def _limit(limit: Limit | None) -> dict[str, Any] | None:
    if limit is None:
        return None
    return {"part": limit.part, "element": limit.element, "speed_mbit_per_s": _mbit(limit.speed), "text": limit.text}


def _two(first: str, one: Range3 | None, second: str, two: Range3 | None) -> dict[str, Any] | None:
    """Two ranges under their names; null where neither is known."""
    return None if one is None and two is None else {first: ranged(one), second: ranged(two)}


def finding_object(finding: Finding) -> dict[str, Any]:
    """A finding as an object, with the keys of the schema."""
    place, fix = finding.place, finding.fix
    return {
        "name": finding.name,
        "severity": finding.severity,
        "certainty": finding.certainty,
        "part": finding.part,
        "others": list(finding.others),
        "where": {"file": place.file, "line": place.line, "column": place.column},
        "message": finding.message,
        "figures": [_figure(figure) for figure in finding.figures],
        "refuted_by": finding.refuted_by or None,
        "tested_by": finding.tested_by or None,
        "fix": fix.text if fix else None,
        "after_fix": _after(fix),
        "untried": fix is not None and fix.untried,
        "supplied_by": finding.supplied_by or None,
    }


def _figure(figure: Figure) -> dict[str, Any]:
    value: Any = figure.value
    if isinstance(value, Range3):
        value = ranged(value)
    elif not isinstance(value, str):
        value = rounded(value)
    return {"name": figure.name, "value": value, "unit": figure.unit, "basis": figure.basis}


def _after(fix: Fix | None) -> dict[str, Any] | None:
    """What is done, what it comes to, and the figures computed with it; null where the fix is words alone."""
    if fix is None or (fix.plan is None and not fix.after):
        return None
    return {
        "plan": None if fix.plan is None else plan_json(fix.plan),
        "figures": [_figure(figure) for figure in fix.after],
    }


def plan_json(plan: Plan) -> dict[str, Any]:
    """A plan with its steps, what has to be bought and tried, and what it clears, leaves, brings and costs."""
    proposal = plan.proposal
    return {
        "do": list(instructions(proposal)),
        "steps": [_change(step) for step in proposal.steps],
        "buys": list(proposal.buys),
        "to_try": list(proposal.to_try),
        "clears": [_named(finding) for finding in plan.clears],
        "eased": [_named(finding) for finding in plan.eased],
        "leaves": [_named(finding) for finding in plan.leaves],
        "brings": [_named(finding) for finding in plan.brings],
        "price": list(plan.price),
    }


def _named(finding: Finding) -> dict[str, str]:
    return {"name": finding.name, "part": finding.part, "severity": finding.severity}


def _change(change: Change) -> dict[str, Any]:
    """A change with its kind and the keys that kind has."""
    if isinstance(change, MovePlug):
        return {"kind": "move-plug", "part": change.part, "to": f"{change.to_part}/{change.to_socket}"}
    if isinstance(change, SwapPlugs):
        return {"kind": "swap-plugs", "part": change.part, "other": change.other}
    if isinstance(change, SetCable):
        cable = change.cable
        return {"kind": "set-cable", "part": change.part,
                "cable": {"length_m": rounded(value_of(cable.length_m)), "grade": value_of(cable.grade),
                          "gauge_awg": value_of(cable.gauge_awg), "active": value_of(cable.active, False)}}
    if isinstance(change, SetUse | SetSerial):
        value = change.value if isinstance(change.value, str) else rounded(change.value)
        kind = "set-use" if isinstance(change, SetUse) else "set-serial"
        return {"kind": kind, "part": change.part, "key": change.key, "value": value}
    if isinstance(change, SetLead):
        return {"kind": "set-lead", "part": change.lead, "key": change.key, "value": rounded(change.value)}
    if isinstance(change, SetSupply):
        return {"kind": "set-supply", "part": change.supply, "key": change.key, "value": rounded(change.value)}
    if isinstance(change, AddCard):
        return {"kind": "add-card", "part": COMPUTER, "sockets": [socket.name for socket in change.sockets]}
    assert isinstance(change, AddPart)
    plug = change.part.plug
    return {"kind": "add-part", "part": change.part.id, "to": None if plug is None else str(plug)}
