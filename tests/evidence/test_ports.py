"""Names of ports and programs that take them, from a kernel's log and a watch, with a rig and without."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

import topo.report
from topo.checks.evidence_cases import NIGHT_RIG, logged
from topo.cli.main import status_of
from topo.live.notes import line_of
from topo.model.watchnote import WATCH_FORMAT, Note

LOG = logged(
    "[    2.300000] usb 3-1.2: Common USB serial converter now attached to ttyUSB0",
    "[    3.300000] usb 3-1.2: usbfs: interface 0 claimed by ch341 while 'brltty' sets config #1",
    "[  900.000000] usb 3-1.2: USB disconnect, device number 4",
    "[  901.000000] usb 3-1.2: New USB device found, idVendor=4444, idProduct=6001, bcdDevice= 6.00",
    "[  901.200000] usb 3-1.2: Common USB serial converter now attached to ttyUSB1")


@pytest.fixture(autouse=True)
def _there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "rig.yaml").write_text(NIGHT_RIG, encoding="utf-8")
    (tmp_path / "night.log").write_text(LOG, encoding="utf-8")


@pytest.mark.parametrize("rig", [True, False])
def test_both_are_told_with_a_rig_and_without(rig: bool, capsys: pytest.CaptureFixture[str]) -> None:
    status_of(["evidence", *(["rig.yaml"] if rig else []), "night.log", "--fail-on", "never"])
    told = " ".join(capsys.readouterr().out.split())
    who = "mount" if rig else "3-1.2"
    assert f"{who}: its serial port was ttyUSB0, then ttyUSB1" in told
    assert f"{who}: brltty took it from its driver ch341, 1 time" in told
    assert ("taken-from-its-driver" in told) is rig and ("port-renamed-in-the-night" in told) is rig


def test_json_follows_its_schema(capsys: pytest.CaptureFixture[str]) -> None:
    status_of(["evidence", "rig.yaml", "night.log", "--json"])
    made = json.loads(capsys.readouterr().out)
    schema = json.loads(Path(topo.report.__file__).with_name("evidence.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema).validate(made)
    (ports,) = made["port_names"]
    assert (ports["part"], ports["names"]) == ("mount", ["ttyUSB0", "ttyUSB1"])
    assert made["taken_from_driver"][0]["program"] == "brltty"


def test_a_watch_tells_names_too(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    at = "2026-01-31T21:00:{:02d}.000+00:00"
    notes = [Note("start", at.format(0), 100.0, "", WATCH_FORMAT, every_s=2.0),
             Note("port", at.format(9), 109.0, "", device="3-1.2", name="mount", ports_before=("/dev/ttyUSB0",),
                  ports=("/dev/ttyUSB4",)),
             Note("port", at.format(19), 119.0, "", device="3-1.2", name="mount", ports=("/dev/ttyUSB5", "/etc/x\x1b")),
             Note("silent", at.format(30), 130.0, "", device="3-1.2", name="mount", seconds=12.0)]
    (tmp_path / "night.watch.jsonl").write_text("".join(map(line_of, notes)), encoding="utf-8")
    status_of(["evidence", "rig.yaml", "night.watch.jsonl", "--fail-on", "never"])
    out = capsys.readouterr().out
    assert "mount: its serial port was ttyUSB0, then ttyUSB4, then ttyUSB5" in " ".join(out.split())
    assert "\x1b" not in out
