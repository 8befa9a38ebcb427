"""`topo compare` and `topo check --scan` as a person or a script meets them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import topo.report
from tests.compare.pieces import COMPUTER
from tests.live.tools import recording, topo_under
from topo.checks.scans import BOS, HUB3, adapter, disk, scan, seen, wheel
from topo.cli.main import status_of

SCHEMA = json.loads(Path(topo.report.__file__).with_name("compare.schema.json").read_text(encoding="utf-8"))
CHECK_SCHEMA = json.loads(Path(topo.report.__file__).with_name("check.schema.json").read_text(encoding="utf-8"))

RIG = COMPUTER + """\
hubs:
  hub: {speed: super, ports: 4, plug: computer/usb3-1}
devices:
  camera: {role: imaging, width_px: 6248, height_px: 4176, speed: super, plug: hub/1, use: {exposure_s: 60}}
  guide: {role: guiding, width_px: 1280, height_px: 960, speed: high, plug: hub/2, use: {exposure_s: 2}}
  wheel: {role: filter-wheel, interface: hid, speed: full, plug: hub/3}
  dew: {role: dew, interface: none}
"""
MAIN = {"product_id": "0260", "could_mbit": BOS}
GOOD = scan(*HUB3, seen("2-1.1", speed=5000, **MAIN), seen("1-1.2"), wheel("1-1.3", product_id="0007"))
BAD = scan(*HUB3, seen("1-1.1", usb_version=2.1, **MAIN), wheel("1-4", product_id="0007"),
           disk("1-5", 480, product_id="0010"), adapter("1-6"), problems=["bus 1: one device could not be read"])


@pytest.fixture
def files(tmp_path: Path) -> Path:
    (tmp_path / "rig.yaml").write_text(RIG, encoding="utf-8")
    (tmp_path / "good.json").write_text(GOOD, encoding="utf-8")
    (tmp_path / "bad.json").write_text(BAD, encoding="utf-8")
    return tmp_path


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = status_of(list(arguments))
    out, err = capsys.readouterr()
    return status, out, err


def test_as_the_file_has_it(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "compare", f"{files}/rig.yaml", f"{files}/good.json", "--fail-on", "risk")
    assert (status, err) == (0, "")
    assert "4 of 4 parts found. 1 more cannot be seen over USB." in " ".join(out.split())
    assert max(map(len, out.splitlines())) <= 80


def test_not_as_the_file_has_it(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "compare", f"{files}/rig.yaml", f"{files}/bad.json")
    words = " ".join(out.split())
    assert status == 1 and out.startswith("FAULT")
    assert "guide is in the file but not found" in words
    assert "the first slow element is the leg of camera (hub, port 1)" in words
    assert "wheel is not in hub/3" in words
    assert "one device could not be read" in words
    assert run(capsys, "compare", f"{files}/rig.yaml", f"{files}/bad.json", "--fail-on", "never")[0] == 0


@pytest.mark.parametrize("name", ["good", "bad"])
def test_the_object_follows_its_schema(files: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    _, out, _ = run(capsys, "compare", f"{files}/rig.yaml", f"{files}/{name}.json", "--json")
    produced: dict[str, Any] = json.loads(out)
    Draft202012Validator.check_schema(SCHEMA)
    Draft202012Validator(SCHEMA).validate(produced)
    assert list(produced) == SCHEMA["required"]
    parts = {part["id"]: part for part in produced["parts"]}
    assert parts["dew"]["found"] == "not-visible"
    if name == "bad":
        assert parts["guide"]["found"] == "missing" and parts["wheel"]["found"] == "moved"
        assert parts["camera"]["speed_mbit_per_s"] == 480 and parts["camera"]["could_be_mbit_per_s"] == 5000
        assert {thing["kind"] for thing in produced["unexpected"]} == {"storage", "serial"}
    else:
        assert parts["hub"]["sightings"] == ["1-1", "2-1"]
        assert parts["camera"]["seen_in"] == {"above": "hub", "port": 1}


def test_check_with_a_scan_uses_what_was_measured(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, plain, _ = run(capsys, "check", f"{files}/rig.yaml", "--json")
    status, out, _ = run(capsys, "check", f"{files}/rig.yaml", "--scan", f"{files}/bad.json", "--json")
    before, after = json.loads(plain), json.loads(out)
    Draft202012Validator(CHECK_SCHEMA).validate(after)
    speeds = [{d["id"]: d["speed_mbit_per_s"] for d in each["devices"]} for each in (before, after)]
    assert (speeds[0]["camera"], speeds[1]["camera"]) == (5000, 480)
    names = [finding["name"] for finding in after["findings"]]
    assert status == 1 and "fell-back" in names and "part-missing" in names
    assert "slower-than-it-could-be" not in names
    assert any(figure["basis"] == "measured" for finding in after["findings"] for figure in finding["figures"])
    text = run(capsys, "check", f"{files}/rig.yaml", "--scan", f"{files}/bad.json", "--all")[1]
    assert "PARTS" in text and "DEVICES" in text


def test_wrong_commands_and_files(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rig = f"{files}/rig.yaml"
    assert run(capsys, "compare", rig, f"{files}/good.json", "--scanner", "sysfs")[0] == 2
    assert run(capsys, "check", rig, "--live", "--scan", f"{files}/good.json")[0] == 2
    assert run(capsys, "compare", f"{files}/none.yaml", f"{files}/good.json")[0] == 2
    for text in ("", "no scan", "{}", '{"format": "topo.scan.1"}', GOOD[:-5]):
        (files / "broken.json").write_text(text, encoding="utf-8")
        for command in (("compare", rig, f"{files}/broken.json"), ("check", rig, "--scan", f"{files}/broken.json")):
            status, out, err = run(capsys, *command)
            assert (status, out) == (3, "") and err
    assert run(capsys, "compare", rig, f"{files}/gone.json")[0] == 3
    assert run(capsys, "compare", rig, "--scanner", "no such")[0] == 3


def test_the_same_bytes_under_any_hash_seed(files: Path) -> None:
    told = set()
    for seed in ("0", "1", "42"):
        for name in ("good", "bad"):
            made = subprocess.run(
                [sys.executable, "-m", "topo", "compare", f"{files}/rig.yaml", f"{files}/{name}.json", "--json"],
                capture_output=True, env={**os.environ, "PYTHONHASHSEED": seed}, check=False)
            told.add((name, made.stdout))
    assert len(told) == 2


HOSTILE = "\x1b[31m\u202e<b>|`$(x)`\r\n\x00"


def test_hostile_texts_never_reach_the_terminal(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (files / "evil.yaml").write_text(RIG.replace("wheel:", '"[bold]<w>|`$(x)`":'), encoding="utf-8")
    text = scan(*HUB3, seen("2-1.1", speed=5000, product=HOSTILE, serial=HOSTILE, manufacturer=HOSTILE, **MAIN),
                seen("1-1.2", product=HOSTILE), disk("1-7", 480, product=HOSTILE, vendor_id=HOSTILE),
                adapter("1-8", product=HOSTILE), adapter("1-9", product=HOSTILE), problems=[HOSTILE],
                when=HOSTILE, scanner=HOSTILE, kernel=HOSTILE)
    (files / "evil.json").write_text(text, encoding="utf-8")
    for command in ("compare {rig} {scan}", "check {rig} --scan {scan}"):
        words = command.format(rig=files / "evil.yaml", scan=files / "evil.json").split()
        _, out, err = run(capsys, *words)
        assert out
        for mark in ("\x1b", "\u202e", "\r", "\x00"):
            assert mark not in out + err
    _, out, _ = run(capsys, "compare", f"{files}/evil.yaml", f"{files}/evil.json", "--json")
    assert out.isascii()
    Draft202012Validator(SCHEMA).validate(json.loads(out))


PIER = COMPUTER + """\
hubs:
  pier-hub: {speed: super, ports: 4, plug: computer/usb3-1}
devices:
  camera: {role: imaging, width_px: 6248, height_px: 4176, speed: super, plug: pier-hub/1}
  guide: {role: guiding, width_px: 1280, height_px: 960, speed: high, plug: pier-hub/2,
          identity: {vendor_id: f1a0, product_id: '0120', serial: G-0042}}
  focuser: {role: focuser, interface: serial, speed: full, plug: pier-hub/3}
  mount: {role: mount, interface: serial, speed: full, plug: pier-hub/4, must_not_sleep: true}
"""


def test_this_machine_by_the_scanner_that_reads_sysfs(tmp_path: Path) -> None:
    (tmp_path / "rig.yaml").write_text(PIER, encoding="utf-8")
    made = topo_under(recording("pier"), "compare", f"{tmp_path}/rig.yaml", "--json")
    assert made.returncode in (0, 1), made.stderr
    produced = json.loads(made.stdout)
    assert {part["id"]: part["sightings"] for part in produced["parts"]} == {
        "pier-hub": ["1-3", "2-1"], "camera": ["2-1.1"], "guide": ["1-3.2"], "focuser": ["1-3.3"], "mount": ["1-3.4"]}
    assert [f["name"] for f in produced["findings"]].count("may-be-put-to-sleep") == 1
    checked = topo_under(recording("pier"), "check", f"{tmp_path}/rig.yaml", "--live", "--json")
    assert checked.returncode in (0, 1), checked.stderr
    assert json.loads(checked.stdout)["format"] == "topo.check.1"
    empty = topo_under(recording("empty"), "compare", f"{tmp_path}/rig.yaml", "--json")
    assert empty.returncode in (1, 3)


@pytest.mark.parametrize("name", ["camera-with-hub", "crowd", "fallback", "pier", "twins"])
def test_a_draft_of_a_scan_is_found_again_in_it(name: str, tmp_path: Path) -> None:
    made = topo_under(recording(name), "live", "--save", f"{tmp_path}/scan.json", "--draft", f"{tmp_path}/rig.yaml")
    assert made.returncode == 0, made.stderr
    done = subprocess.run(
        [sys.executable, "-m", "topo", "compare", f"{tmp_path}/rig.yaml", f"{tmp_path}/scan.json", "--json"],
        capture_output=True, text=True, check=False)
    produced = json.loads(done.stdout)
    assert {part["found"] for part in produced["parts"]} == {"found"}
    assert produced["unexpected"] == []
