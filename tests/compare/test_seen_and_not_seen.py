"""What is missing is nowhere computed or drawn as if it ran; what moved is in one place in every word. By hand."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.compare.pieces import COMPUTER
from topo.checks.scans import BOS, HUB3, hub, scan, seen
from topo.cli.main import status_of

RIG = COMPUTER + """\
hubs:
  pier-hub: {speed: super, ports: 4, plug: computer/usb3-1}
devices:
  main-camera: {role: imaging, width_px: 6248, height_px: 4176, speed: super, plug: pier-hub/1, use: {exposure_s: 60},
                identity: {vendor_id: f1a0, product_id: '0260'}}
  guide-camera: {role: guiding, width_px: 1280, height_px: 960, speed: high, plug: pier-hub/2, use: {exposure_s: 1},
                 identity: {vendor_id: f1a0, product_id: '0120'}}
  sky-camera: {role: other, width_px: 1280, height_px: 960, speed: high, plug: computer/usb3-2,
               use: {exposure_s: 1, mode: video}, identity: {vendor_id: f1a0, product_id: '0700'}}
"""
MAIN: dict[str, Any] = {"speed": 5000, "product_id": "0260", "could_mbit": BOS}
GUIDE: dict[str, Any] = {"product_id": "0120"}
SKY: dict[str, Any] = {"product_id": "0700"}


@pytest.fixture
def say(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    """Runs a command on the rig and a scan; returns what it prints, in one line of words."""

    def run(command: str, text: str, *more: str, rig: str = RIG) -> str:
        (tmp_path / "rig.yaml").write_text(rig, encoding="utf-8")
        (tmp_path / "scan.json").write_text(text, encoding="utf-8")
        words = [command, f"{tmp_path}/rig.yaml"]
        words += [f"{tmp_path}/scan.json"] if command == "compare" else ["--scan", f"{tmp_path}/scan.json"]
        assert status_of([*words, *more]) in (0, 1)
        return capsys.readouterr().out

    return run


WHOLE = scan(*HUB3, seen("2-1.1", **MAIN), seen("1-1.2", **GUIDE), seen("1-2", **SKY))
NO_MAIN = scan(*HUB3, seen("1-1.2", **GUIDE), seen("1-2", **SKY))
NO_HUB = scan(seen("1-2", **SKY))


def devices(say: Any, text: str) -> dict[str, Any]:
    return {device["id"]: device for device in json.loads(say("check", text, "--json"))["devices"]}


def test_of_what_is_missing_nothing_is_computed(say: Any) -> None:
    whole, without = devices(say, WHOLE), devices(say, NO_MAIN)
    assert whole["main-camera"]["path"] and whole["main-camera"]["download_s"]["alone"]
    assert without["main-camera"]["path"] == [] and without["main-camera"]["speed_mbit_per_s"] is None
    links = json.loads(say("check", NO_MAIN, "--json"))["links"]
    assert links and not any("main-camera" in link["carries"] or "main-camera" in link["id"] for link in links)
    gone = json.loads(say("check", NO_HUB, "--json"))
    assert {name for link in gone["links"] for name in link["carries"]} <= {"sky-camera"}


@pytest.mark.parametrize("text", [NO_MAIN, NO_HUB], ids=["camera", "hub"])
def test_no_finding_but_that_it_is_missing_names_what_is_missing(say: Any, text: str) -> None:
    found = json.loads(say("check", text, "--json"))["findings"]
    gone = {"main-camera"} if text is NO_MAIN else {"pier-hub", "main-camera", "guide-camera"}
    assert {f["name"] for f in found if f["part"] in gone} == {"part-missing"}
    words = " ".join(say("check", text).split())
    assert "its frames come on time" not in words or text is NO_MAIN
    assert "has no plug in the file" not in words


def test_a_picture_draws_no_wire_to_what_is_missing(say: Any) -> None:
    scene = json.loads(say("draw", NO_MAIN, "--json"))
    keys = {node["part"]: node["key"] for node in scene["nodes"]}
    (node,) = (node for node in scene["nodes"] if node["part"] == "main-camera")
    assert any(mark["kind"] == "missing" for mark in node["marks"]) and not node["lines"]
    assert keys["main-camera"] not in {wire["below"] for wire in scene["wires"]}
    assert keys["guide-camera"] in {wire["below"] for wire in scene["wires"]}
    assert "not on USB" not in say("draw", NO_MAIN)


MOVES = {
    "to the computer": (scan(*HUB3, seen("2-1.1", **MAIN), seen("1-3", **GUIDE), seen("1-2", **SKY)), "computer/usb3-"),
    "to a hub that is in no file": (scan(*HUB3, seen("2-1.1", **MAIN), hub("1-4", vendor_id="f1c9"),
                                         seen("1-4.3", **GUIDE), seen("1-2", **SKY)), "unlisted-hub/3"),
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(MOVES))
def test_what_moved_is_in_one_place_in_all_words(say: Any, name: str) -> None:
    text, place = MOVES[name]
    device = devices(say, text)["guide-camera"]
    assert device["path"][0].startswith(place), device["path"]
    for command in ("check", "draw"):
        said = say(command, text)
        table = said.partition("PARTS")[0]  # which tells the place of the file beside that of now
        mentions = [line for line in table.splitlines() if "guide-camera" in line and "pier-hub/" in line]
        assert all("is not in pier-hub/2" in " ".join(said.split()) for _ in mentions), mentions
    links = json.loads(say("check", text, "--json"))["links"]
    assert not any("guide-camera" in link["carries"] and "pier-hub" in link["id"] for link in links)
    scene = json.loads(say("draw", text, "--json"))
    keys = {node["key"]: node["part"] for node in scene["nodes"]}
    (wire,) = (wire for wire in scene["wires"] if keys[wire["below"]] == "guide-camera")
    assert keys[wire["above"]] != "pier-hub"


def test_the_socket_of_what_is_missing_is_kept_for_it(say: Any) -> None:
    from topo.analysis.study import Study
    from topo.compare.compare import compare
    from topo.live.recording import read_scan
    from topo.pipeline import rig_of
    from topo.rigfile.read import read_text

    study = Study(rig_of(read_text(RIG, "rig.yaml")))
    now = compare(study, read_scan(NO_MAIN)).study
    assert ("pier-hub", "1") not in {(part, socket.name) for part, socket in now.topology.free_sockets()}


NOTHING = '{"format": "topo.scan.1", "when": "", "system": "linux", "kernel": null, "scanner": "sysfs"}'


def test_a_machine_without_any_usb_accuses_no_part(say: Any) -> None:
    found = json.loads(say("check", NOTHING, "--json"))["findings"]
    assert [f["part"] for f in found if f["name"] == "no-usb-at-all"] == ["computer"]
    assert not [f for f in found if f["name"] == "part-missing"]
    words = " ".join(say("compare", NOTHING).split())
    assert "This scan shows no USB at all, not even a controller" in words
    assert "MISSING" not in words and "sits; then try another cable" not in words


def test_the_same_of_a_system_without_sysfs(tmp_path: Path) -> None:
    """As a person in a container types it: status 3 where nothing is kept, else the finding."""
    (tmp_path / "rig.yaml").write_text(RIG, encoding="utf-8")
    done = subprocess.run([sys.executable, "-m", "topo", "check", "--live", f"{tmp_path}/rig.yaml"],
                          capture_output=True, text=True, check=False)  # fmt: skip
    if not Path("/sys/bus/usb").is_dir():
        assert done.returncode in (1, 3)
        assert "pier-hub is in the file but not found" not in " ".join(done.stdout.split())


AT_12 = scan(*HUB3, seen("2-1.1", **MAIN), seen("1-1.2", 12, **GUIDE), seen("1-2", **SKY))
AT_5_OF_10 = scan(*HUB3, seen("2-1.1", **{**MAIN, "could_mbit": [5000.0, 10_000.0], "usb_version": 3.1}),
                  seen("1-1.2", **GUIDE), seen("1-2", **SKY))  # fmt: skip


def test_a_guide_camera_at_12_is_a_risk_and_its_words_are_of_a_guide_camera(say: Any) -> None:
    """Seen: CLEAR, a note on long single exposures, "its frames come on time", a USB 3 cable, basis of a profile."""
    assert say("compare", AT_12).startswith("RISK")
    (found,) = (f for f in json.loads(say("check", AT_12, "--json"))["findings"] if f["name"] == "fell-back")
    assert (found["severity"], found["part"]) == ("risk", "guide-camera")
    assert "12 Mb/s" in found["message"] and "480 Mb/s" in found["message"]
    assert {f["basis"] for f in found["figures"] if f["name"] in ("speed", "could be")} == {"measured"}
    words = " ".join(say("check", AT_12).split())
    for wrong in ("for long single exposures", "its frames come on time", "USB 3 cable for it", "in computer/usb2-1"):
        assert wrong not in words
    assert "its own download takes 2.1" in words


def test_from_10_to_5_gb_per_s_is_told(say: Any) -> None:
    rig = RIG.replace("speed: super,", "speed: super-plus,").replace("controller: one, speed: super}",
                                                                     "controller: one, speed: super-plus}")  # fmt: skip
    found = json.loads(say("compare", AT_5_OF_10, "--json", rig=rig))["findings"]
    (told,) = (f for f in found if f["name"] == "fell-back")
    assert "5 Gb/s" in told["message"] and "10 Gb/s" in told["message"] and "main-camera" in told["message"]


@pytest.mark.parametrize("serial", [{"serial": "M-1"}, {}], ids=["told", "lacking"])
def test_a_pack_finds_nothing_that_its_own_redaction_brought_in(
    serial: dict[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The file has a serial number that the scan lacks, or not: the copies in the pack disagree as the originals do."""
    rig = RIG.replace("product_id: '0260'}", "product_id: '0260', serial: M-1}")
    (tmp_path / "rig.yaml").write_text(rig, encoding="utf-8")
    text = scan(*HUB3, seen("2-1.1", **MAIN, **serial), seen("1-1.2", **GUIDE), seen("1-2", **SKY))
    (tmp_path / "scan.json").write_text(text, encoding="utf-8")
    assert status_of(["pack", f"{tmp_path}/rig.yaml", "--scan", f"{tmp_path}/scan.json", "-o", f"{tmp_path}/pack"]) == 0
    assert "redact" not in capsys.readouterr().err
    found = []
    for folder in (tmp_path, tmp_path / "pack"):
        status_of(["compare", f"{folder}/rig.yaml", f"{folder}/scan.json", "--json"])
        found.append([(f["name"], f["severity"]) for f in json.loads(capsys.readouterr().out)["findings"]])
    assert found[0] == found[1]
