"""The cold, the board, hints: what people meet, told with the first thing to test."""

from __future__ import annotations

from tests.place.test_advice_is_true import every_plan_holds
from topo.analysis.study import Study
from topo.checks.cases import guiding, imaging, rig
from topo.checks.scans import hub, scan, seen
from topo.live.store import loads
from topo.model.finding import Finding
from topo.pipeline import compare_scan, examiner, rig_of
from topo.rigfile.read import read_text


def told(text: str, name: str) -> list[Finding]:
    return [f for f in examiner()(Study(rig_of(read_text(text, "rig.yaml")))) if f.name == name]


FROST = "night: {coldest_celsius: -6}\n"


def test_the_shipped_ratings_are_read() -> None:
    """`lowest_celsius` was read by nobody: a hub for the office and an industrial one, from their profiles."""
    office = rig(guiding("hub/1"), hubs="  hub: {profile: hub-usb2-7port-powered, plug: computer/usb2-1}\n") + FROST
    assert [f.severity for f in told(office, "colder-than-rated")] == ["risk"]
    industrial = office.replace("hub-usb2-7port-powered", "hub-usb3-7port-industrial")
    assert told(industrial, "colder-than-rated") == []
    assert told(office.replace("-6", "9"), "colder-than-rated") == []


def test_a_joint_over_an_axis_is_advised_away() -> None:
    text = rig(imaging("computer/usb3-1", "sits: tube", "cable: {length_m: 2, grade: usb3, joints: 2}"))
    text = text.replace("computer:\n", "computer:\n  sits: pier\n")
    (finding,) = told(text, "cable-in-pieces")
    assert finding.severity == "risk" and every_plan_holds(text) > 0


def missing(hub_speed: str) -> str:
    text = rig(guiding("hub/1"), "mount: {role: mount, speed: full, interface: serial, plug: hub/2}",
               hubs=f"  hub: {{speed: {hub_speed}, ports: 4, plug: computer/usb3-1}}\n")
    study = Study(rig_of(read_text(text, "rig.yaml")))
    _, findings, _ = compare_scan(study, loads(scan(hub("1-1"), seen("1-1.1"))))
    return next(f.fix.text for f in findings if f.name == "part-missing" and f.part == "mount" and f.fix is not None)


def test_a_slow_device_that_stays_away_behind_a_fast_hub() -> None:
    assert "plain USB 2 hub" in missing("super")
    assert "plain USB 2 hub" not in missing("high")
