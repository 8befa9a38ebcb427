"""The 12 V side in other rooms: pictures, plan B, packs, differences between plans."""

from __future__ import annotations

import re
from pathlib import Path

from tests.place.told_rigs import FIELD
from topo.draw.picture import picture
from topo.pipeline import examine_text, examiner, pack_of, rig_of
from topo.place.diff import compare_plans
from topo.place.planb import plan_b
from topo.rigfile.read import read_text


def test_leads_of_a_picture_carry_amps_and_their_findings() -> None:
    report = examine_text(FIELD)
    scene = picture(report.study, report.findings)
    wires = {wire.below: wire for wire in scene.wires if wire.kind == "power"}
    nodes = {node.part: node for node in scene.nodes if node.kind == "again"}
    camera = wires[nodes["main-camera"].key]
    assert "22 AWG" in camera.speed and "A" in camera.note
    assert any(re.fullmatch("fault \\d+: fuse-does-not-protect", mark.text) for mark in camera.marks)
    assert any(" V" in line for line in nodes["main-camera"].lines)
    assert nodes["mount"].part == "mount" and nodes["strap"].part == "strap"  # one lead, two parts
    first = next(node for node in scene.nodes if node.part == "main-camera" and node.kind == "device")
    assert not any("fuse" in mark.text for mark in first.marks)
    battery = next(node for node in scene.nodes if node.part == "battery")
    assert any("battery-empty" in mark.text for mark in battery.marks)


def test_one_lead_or_block_that_stops_everything_is_told_first() -> None:
    failures = plan_b(rig_of(read_text(FIELD, "rig.yaml")), examiner())
    first = {(failure.kind, failure.name) for failure in failures if "computer" in failure.stops}
    assert {("supply", "battery"), ("block", "block"), ("converter", "five"), ("lead", "feed")} <= first
    mount = next(failure for failure in failures if (failure.kind, failure.name) == ("lead", "mount-lead"))
    assert {"mount", "strap"} <= set(mount.stops)
    assert all(failure.spare for failure in failures if failure.kind in ("block", "converter", "lead", "supply"))


def test_a_pack_keeps_the_figures_and_changes_the_names(tmp_path: Path) -> None:
    text = FIELD.replace("block:", "Annas-block:").replace("to: block", "to: Annas-block").replace(
        "from: block", "from: Annas-block").replace("five", "my-brick-5")  # fmt: skip
    path = tmp_path / "rig.yaml"
    path.write_text(text)
    contents = pack_of(read_text(text, str(path)))
    shown = next(data for name, data in contents.files.items() if name.endswith(".yaml"))
    shown = shown.decode() if isinstance(shown, bytes) else shown
    assert "Annas" not in shown
    again = rig_of(read_text(shown, "rig.yaml"))
    own = rig_of(read_text(text, "rig.yaml"))
    assert [lead.facts for lead in again.leads] == [lead.facts for lead in own.leads]
    assert [supply.facts for supply in again.supplies] == [supply.facts for supply in own.supplies]
    assert len(again.blocks) == len(again.converters) == 1


def test_a_plan_with_another_fuse_differs() -> None:
    one, other = (rig_of(read_text(text, "r")) for text in (FIELD, FIELD.replace("fuse_at_m: 0.8", "fuse_at_m: 0.1")))
    [difference] = compare_plans(one, other, (), ()).parts
    assert difference.part == "feed" and "fuse at m 0.8" in difference.before and "0.1" in difference.after
