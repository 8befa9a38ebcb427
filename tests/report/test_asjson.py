"""The JSON report against its schema (JSON Schema 2020-12), key by key."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

import topo.report
from tests.facts import facts
from tests.report.hand_made import finding, note, report, rig, study
from topo.model.change import (
    AddPart,
    Change,
    MovePlug,
    Proposal,
    SetCable,
    SetLead,
    SetSerial,
    SetSupply,
    SetUse,
    SwapPlugs,
)
from topo.model.facts import Figure, Range3
from topo.model.feeds import Supply, SupplyFacts
from topo.model.finding import Fix, Plan
from topo.model.power import (
    BatteryNight,
    ByState,
    FallOut,
    LeadPower,
    NotJudged,
    PlugPower,
    PowerNight,
    PowerOutcome,
    Ring,
    SourcePower,
    Unfed,
    UsbPower,
)
from topo.model.records import CableFacts
from topo.report.asjson import ranged, report_json, rounded
from topo.report.compose import Report
from topo.wiring.bought import bought_card

SCHEMA = json.loads(Path(topo.report.__file__).with_name("check.schema.json").read_text(encoding="utf-8"))

CHANGES: tuple[Change, ...] = (
    MovePlug("a", "computer", "usb2-1"), SwapPlugs("a", "b"),
    SetCable("a", facts(CableFacts, length_m=1.5, grade="usb3")),
    SetUse("a", "limit_mb_per_s", 18.5), SetSerial("a", "clients", 1), AddPart(rig().devices[0]),
    bought_card(rig().computer), SetLead("l", "gauge_awg", 14), SetSupply("s", "volts", 13.2),
)


def everything() -> Report:
    """A report in which every object of the schema occurs."""
    plan = Plan(Proposal(CHANGES, ("a cable",), ("a: 2 m",)), (finding(),), (note(),), (note(),), ("a price",))
    made = powered()
    stream = replace(made.devices[0], night_mb_per_s=Range3(20.0, 21.0, 22.0), skipped=Range3(0.0, 0.01, 0.02),
                     dip_s=0.1, dip_every_s=2.0)
    return report(finding(fix=Fix("Do.", plan=plan)), note(), finding(), troubles=("a check failed",), first=plan,
                  of=replace(made, devices=(stream, *made.devices[1:])))


def powered() -> Any:
    """A study whose 12 V side holds everything a report says of power."""
    three, states = Range3(1, 2, 3), ByState(Range3(1, 2, 3), None, Range3(1, 2, 3))
    camera = rig().devices[0].id
    supplied = replace(rig(), supplies=(Supply("s", 13.2, facts=facts(SupplyFacts, chemistry="lifepo4")),))
    lead = LeadPower("l", "s", camera, "s", states, states, states, (), 0.0, 2.0, 7.0, 5.0, "l", False, "declared",
                     "declared", "profile", "declared", ("m",), states)  # fmt: skip
    power = PowerOutcome(
        (SourcePower("s", "supply", three, states, 10.0, (camera,), "declared", "measured"),), (lead,),
        (PlugPower(camera, "l", states, states, three, 11.0, 14.0, "profile", "declared", "profile", "profile",
                   "assumed"),),
        (Unfed("s", "peak", "low", 0.9, "l"),), (NotJudged("lead", "m", ("length_m",)),), (Ring(camera, "l", lead),),
    )  # fmt: skip
    usb = (UsbPower(camera, "computer/usb3-1", 900.0, 900.0, "profile", three, None, 4.0, "profile", "assumed", None,
                    ("gauge_awg",)),)  # fmt: skip
    fall = FallOut(camera, "s", 3600.0, None, "likely", True, (camera,), (camera,), (camera,))
    night = PowerNight(28800.0, batteries=(BatteryNight("s", 8.0, three, Range3(0, 0.1, 0.2), (fall,)),))
    return replace(study(supplied), power=power, usb_power=usb, power_night=night)


def validate(of: Report) -> dict[str, Any]:
    text = json.dumps(report_json(of), allow_nan=False)
    produced: dict[str, Any] = json.loads(text)
    Draft202012Validator(SCHEMA).validate(produced)
    return produced


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)


def test_reports_validate() -> None:
    validate(everything())
    validate(report())
    validate(report(of=study(lost="no", late=False)))
    validate(report(finding(fix=None, refuted_by="", figures=())))


def objects(schema: dict[str, Any], value: Any) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Every object of a value with the schema that describes it."""
    while "$ref" in schema:
        schema = SCHEMA["$defs"][schema["$ref"].rsplit("/", 1)[1]]
    choices = schema.get("anyOf", schema.get("oneOf"))
    if choices:
        validator = Draft202012Validator(SCHEMA)
        schema = next(one for one in choices if validator.evolve(schema=one).is_valid(value))
        yield from objects(schema, value)
    elif isinstance(value, dict):
        yield schema, value
        for key, inner in value.items():
            yield from objects(schema["properties"][key], inner)
    elif isinstance(value, list):
        for inner in value:
            yield from objects(schema["items"], inner)


def test_keys_are_exactly_those_of_the_schema() -> None:
    seen = []
    for schema, value in objects(SCHEMA, validate(everything())):
        assert list(value) == list(schema["properties"]) == schema["required"]
        assert schema["additionalProperties"] is False
        seen.append(json.dumps(schema))
    described = [json.dumps(schema) for schema in _described(SCHEMA)]
    assert set(seen) == set(described)


def _described(schema: Any) -> Iterator[dict[str, Any]]:
    if isinstance(schema, dict):
        if schema.get("type") == "object" and "properties" in schema:
            yield schema
        for inner in schema.values():
            yield from _described(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from _described(inner)


def test_the_keys_scripts_rely_on() -> None:
    produced = validate(everything())
    assert produced["format"] == "topo.check.1"
    assert {"rig", "verdict", "links", "devices", "findings"} <= set(produced)
    assert {"id", "kind", "direction", "ceiling_mb_per_s", "expected_mb_per_s", "load_average", "load_peak",
            "carries"} <= set(produced["links"][0])
    assert {"id", "role", "path", "speed_mbit_per_s", "could_be_mbit_per_s", "limited_by", "frame_bytes", "download_s",
            "guide_delay_s", "chance", "lost", "night", "stream"} <= set(produced["devices"][0])
    assert {"name", "severity", "certainty", "part", "where", "message", "figures", "refuted_by", "fix",
            "after_fix"} <= set(produced["findings"][0])


def test_values() -> None:
    produced = validate(report(finding()))
    guide = produced["devices"][1]
    assert produced["links"][0]["expected_mb_per_s"] == [37.7, 41.5, 45.4]
    assert produced["devices"][0]["speed_mbit_per_s"] == 480
    assert produced["devices"][0]["limited_by"]["element"] == "cable"
    assert guide["path"] == ["main-camera/usb2-1", "computer/usb3-1"]
    assert guide["guide_delay_s"] == {"fair": [0.05755, 0.0631, 0.0692], "last": [1.151, 1.262, 1.384]}
    assert produced["devices"][2]["download_s"] is None
    assert produced["findings"][0]["where"] == {"file": "meadow.yaml", "line": 15, "column": 3}
    assert produced["findings"][0]["after_fix"]["plan"]["steps"] == [
        {"kind": "move-plug", "part": "guide-camera", "to": "computer/usb2-1"}]


@pytest.mark.parametrize(("value", "expected"), [
    (53.248, 53.248), (0.1 + 0.2, 0.3), (480.0, 480), (math.inf, None), (math.nan, None), (None, None), (-0.0, 0),
    (123456789, 123456789), (1.23456789e-7, 1.23457e-7), (True, 1),
])
def test_rounding(value: float | None, expected: float | None) -> None:
    assert rounded(value) == expected


def test_what_has_no_end_is_null() -> None:
    assert ranged(Range3(1.0, 2.0, math.inf)) == [1, 2, None]
    made = study()
    endless = replace(made.devices[1], together_s=Range3(1.0, math.inf, math.inf))
    of = report(finding(figures=(Figure("delay", Range3(1, 2, math.inf), "s", "profile"),
                                 Figure("rate", math.nan, "MB/s", "profile"))),
                of=replace(made, devices=(made.devices[0], endless, made.devices[2])))
    produced = validate(of)
    assert produced["devices"][1]["download_s"]["together"] == [1, None, None]
    assert produced["findings"][0]["figures"][0]["value"] == [1, 2, None]


@settings(max_examples=60, deadline=None)
@given(st.text(min_size=1, max_size=64), st.text(max_size=64))
def test_hostile_names_come_back_as_they_were(camera: str, name: str) -> None:
    if camera in ("computer", "mount", "guide-camera"):
        return
    of = report(of=study(rig(camera=camera, name=name)))
    text = json.dumps(report_json(of), allow_nan=False)
    assert text.isascii()
    assert text.isprintable()
    assert json.loads(text)["devices"][0]["id"] == camera
