"""A saved scan laid over the picture, as `topo draw --scan` does it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.draw.rigs import rig_text
from topo.cli.main import status_of
from topo.live import store
from topo.model.sighting import Scan, Sighting


@pytest.fixture
def files(tmp_path: Path) -> tuple[str, str]:
    """The rig of the tests, and a scan that shows its hubs and not its mount."""
    rig, scan = tmp_path / "rig.yaml", tmp_path / "scan.json"
    rig.write_text(rig_text(), encoding="utf-8")
    hub = {"usb_class": 9, "speed_mbit": 480.0, "usb_version": 2.0}
    store.save(Scan("", "Linux", "6.1.0", "sysfs", sightings=(
        Sighting("usb1", 1, (), usb_class=9, speed_mbit=480.0, max_child=4, vendor_id="1d6b", product_id="0002"),
        Sighting("1-1", 1, (1,), "usb1", vendor_id="f100", product_id="0001", max_child=4, **hub),  # type: ignore[arg-type]
        Sighting("1-1.1", 1, (1, 1), "1-1", vendor_id="f100", product_id="0002", max_child=2, **hub),  # type: ignore[arg-type]
    )), scan)
    return str(rig), str(scan)


def test_missing_parts_are_marked(files: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    rig, scan = files
    assert status_of(["draw", rig, "--scan", scan]) == 0
    told = capsys.readouterr().out
    assert "[missing: not plugged in]" in told


def test_a_picture_of_a_comparison_is_written(files: tuple[str, str], tmp_path: Path) -> None:
    rig, scan = files
    assert status_of(["draw", rig, "--scan", scan, "-o", str(tmp_path / "rig.svg")]) == 0
    assert b"missing: not plugged in" in (tmp_path / "rig.svg").read_bytes()


def test_live_and_scan_together_are_refused(files: tuple[str, str]) -> None:
    assert status_of(["draw", files[0], "--live", "--scan", files[1]]) == 2
    assert status_of(["draw", files[0], "--scan", files[0]]) == 3


def test_a_pack_with_a_scan_compares_the_same(files: tuple[str, str], tmp_path: Path,
                                              capsys: pytest.CaptureFixture[str]) -> None:
    import json

    rig, scan = files
    assert status_of(["pack", rig, "-o", str(tmp_path / "pack"), "--scan", scan]) == 0
    capsys.readouterr()
    found = []
    for arguments in ([rig, scan], [str(tmp_path / "pack/rig.yaml"), str(tmp_path / "pack/scan.json")]):
        status_of(["compare", *arguments, "--json"])
        told = json.loads(capsys.readouterr().out)
        found.append([(one["name"], one["severity"], one["certainty"]) for one in told["findings"]])
    assert found[0] == found[1] != []
