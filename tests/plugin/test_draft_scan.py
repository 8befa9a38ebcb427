"""A profile begun from a saved scan: measured facts alone, nothing a device says of itself."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.cli.main import status_of
from topo.errors import CommandError, ScanError
from topo.live.store import save
from topo.model.sighting import Endpoint, Interface, Scan, SerialPort, Sighting
from topo.plugin.draft import Draft, Stated, judged, text_of
from topo.plugin.draft_scan import draft_of
from topo.plugin.questions import all_questions, questions, unit_of

CAMERA = Sighting(
    id="2-1.3", bus=2, ports=(1, 3), parent="2-1", speed_mbit=480.0, could_mbit=(480.0, 5000.0), vendor_id="1d6b",
    product_id="00f1", manufacturer="Some Maker", product="Some Model 1", serial="SECRET-1", max_power_ma=450,
    interfaces=(Interface(0, 0, True, 255, 0, 0, endpoints=(
        Endpoint(0x81, "bulk", 512, 512), Endpoint(0x82, "interrupt", 64, 64, 8000.0))),),
)
HUB = Sighting(id="2-1", bus=2, ports=(1,), parent="usb2", speed_mbit=480.0, usb_class=9, protocol=2, max_child=4,
               self_powered=True, max_power_ma=100, interfaces=(Interface(0, 1, True, 9, 0, 2),))
WEBCAM = Sighting(
    id="2-2", bus=2, ports=(2,), parent="usb2", speed_mbit=480.0, interfaces=(
        Interface(0, 0, True, 14, 1, 0, endpoints=(Endpoint(0x83, "interrupt", 16, 16, 16000.0),)),
        Interface(1, 0, True, 14, 2, 0), Interface(1, 1, False, 14, 2, 0, endpoints=(
            Endpoint(0x81, "iso", 1024, 3072, 125.0),))))
ADAPTER = Sighting(id="2-4", bus=2, ports=(4,), parent="usb2", speed_mbit=12.0, max_power_ma=90, product="x",
                   interfaces=(Interface(0, 0, True, 255, 0, 0, endpoints=(Endpoint(0x81, "bulk", 64, 64),)),))
ROOT = Sighting(id="usb2", bus=2, ports=(), speed_mbit=480.0, usb_class=9)
SCAN = Scan("2026-02-03T22:10:00.000+01:00", "linux", None, "sysfs", sightings=(ROOT, HUB, CAMERA, WEBCAM, ADAPTER),
            serial_ports=(SerialPort("ttyUSB0", "2-4", 0, "a_driver", 16),))


@pytest.fixture
def saved(tmp_path: Path) -> str:
    path = tmp_path / "scan.json"
    save(SCAN, path)
    return str(path)


def values(draft: Draft) -> dict[str, str]:
    return {key: stated.value for key, stated in draft.facts.items()}


def test_a_camera(saved: str) -> None:
    draft = draft_of(saved, "2-1.3")
    assert values(draft) == {
        "speed": "super", "interface": "bulk", "interrupt_bytes": "64", "interrupt_interval_ms": "8", "endpoints": "2",
        "has_serial_number": "true", "bus_ma": "450",
    }
    assert draft.source == "measured: a scan of 2026-02-03"


def test_a_hub_a_streaming_camera_and_an_adapter(saved: str) -> None:
    hub = draft_of(saved, "2-1")
    assert hub.kind == "hub"
    # With a supply of its own what it claims of the bus says nothing of what it takes.
    assert values(hub) == {"speed": "high", "ports": "4", "powered": "true", "translators": "per-port"}
    # 3,072 bytes each microframe of 125 us are 24,576 bytes each millisecond (USB 2.0 table 5-5).
    assert values(draft_of(saved, "2-2")) == {
        "speed": "high", "interface": "iso", "interrupt_bytes": "16", "interrupt_interval_ms": "16",
        "iso_bytes_per_ms": "24576", "endpoints": "1",
    }
    adapter = draft_of(saved, "2-4")
    assert values(adapter)["interface"] == "serial" and values(adapter)["has_serial_number"] == "false"
    assert adapter.serial == {"latency_timer_ms": Stated("16", "measured: the driver's setting")}


def test_nothing_private_reaches_the_profile(
    saved: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status = status_of([
        "profiles", "new", "camera-seen", "--role", "imaging", "--from-scan", saved, "--device", "2-1.3",
        "--set", "width_px=6248", "--set", "height_px=4176", "--source", "its data sheet", "--no-questions",
    ])
    assert status == 0, capsys.readouterr()
    text = (tmp_path / "own-profiles" / "camera-seen.yaml").read_text()
    for private in ("Some", "SECRET", "1d6b", "00f1"):
        assert private not in text
    assert "measured: the device's BOS descriptor" in text and "width_px: 6248" in text


@pytest.mark.parametrize("device", ["9-9", "usb2", "2-1.3\x1b[2J"])
def test_devices_that_are_none(saved: str, device: str) -> None:
    with pytest.raises(CommandError) as caught:
        draft_of(saved, device)
    assert "\x1b" not in str(caught.value)


def test_files_that_are_no_scan(tmp_path: Path) -> None:
    (tmp_path / "odd.json").write_text('{"format": "other"}')
    for name in ("odd.json", "nowhere.json"):
        with pytest.raises(ScanError):
            draft_of(str(tmp_path / name), "2-1")


@given(st.text(max_size=80), st.text(max_size=80))
def test_what_is_typed_is_what_is_read(summary: str, source: str) -> None:
    """Any text either comes back as it was typed, or is refused as text no file should hold."""
    from topo.errors import RigFileError

    draft = Draft("camera-x", summary=summary, source=source, facts={"width_px": Stated("12", source)})
    try:
        profile = judged(draft, "camera-x.yaml")
    except RigFileError:
        assert not (summary + source).isascii() or not (summary + source).isprintable(), text_of(draft)
        return
    assert profile.summary == summary
    assert profile.facts.width_px.source == source


def test_every_figure_has_a_unit_or_is_a_count() -> None:
    without = {key for kind in ("device", "hub", "computer") for key, question in all_questions(kind).items()
               if question.low is not None and not unit_of(key)}
    counts = {"card_slots", "hub_ports", "serial_sockets", "endpoints", "ports", "endpoint_slots", "lanes", "clients"}
    assert without == counts, "a new ending of a name goes into `_KEYS` of topo/rigfile/units.py, a count in here"


def test_questions_follow_the_role() -> None:
    guiding = [question.key for question in questions("device", "guiding")]
    assert "width_px" in guiding and "baud" not in guiding
    mount = [question.key for question in questions("device", "mount")]
    assert mount[:2] == ["speed", "drift_arcsec_per_s"] and mount[-1] == "bytes_in" and "width_px" not in mount
