"""The first rig file: valid as it stands, one part for each box, and nothing from a device gets out of its scalar."""

from __future__ import annotations

import contextlib
import random
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.live.recordings.make import MACHINES
from tests.live.test_usbdevices import TEXT
from tests.live.tools import build, recording
from topo.errors import ScanError
from topo.live.draft import draft
from topo.live.recording import read_scan
from topo.live.sysfs import scan
from topo.model.facts import value_of
from topo.model.sighting import Scan
from topo.pipeline import examine_text
from topo.rigfile.entries import RigDocument
from topo.rigfile.quote import double_quoted
from topo.rigfile.read import read_text


def drafted(name: str, tmp_path: Path) -> RigDocument:
    return read_text(draft(scan(str(build(recording(name), tmp_path)))), "rig.yaml").document


@pytest.mark.parametrize("name", sorted(MACHINES))
def test_every_recording_gives_a_rig_that_can_be_checked(name: str, tmp_path: Path) -> None:
    report = examine_text(draft(scan(str(build(recording(name), tmp_path)))))
    names = {finding.name for finding in report.findings}
    assert not names & {"socket-used-twice", "not-wired", "wrong-socket"}, names


def test_pier(tmp_path: Path) -> None:
    rig = drafted("pier", tmp_path)
    hub = rig.hubs["hub-1"]
    told = hub.facts
    assert (hub.plug, *map(value_of, (told.speed, told.ports, told.translators, told.powered))) == (
        "computer/usb3-1",
        "super",
        4,
        "per-port",
        True,
    )
    assert {
        name: (part.plug, value_of(part.facts.speed), value_of(part.facts.interface))
        for name, part in rig.devices.items()
    } == {
        "device-1": ("hub-1/1", "super", "bulk"),
        "device-2": ("hub-1/2", "high", "bulk"),
        "serial-1": ("hub-1/3", "full", "serial"),
        "serial-2": ("hub-1/4", "full", "serial"),
    }
    identity = rig.devices["device-1"].identity
    assert identity is not None and (identity.vendor_id, identity.product_id, identity.serial) == (
        "f1a0",
        "0260",
        "M-0007",
    )
    assert rig.computer.ports is not None and list(rig.computer.ports) == ["usb3-1", "usb3-2"]


def test_a_device_at_a_lower_speed_keeps_what_it_could_do(tmp_path: Path) -> None:
    text = draft(scan(str(build(recording("fallback"), tmp_path))))
    rig = read_text(text, "rig.yaml").document
    assert [value_of(rig.devices[name].facts.speed) for name in ("device-1", "storage-1")] == ["super", "super-plus"]
    assert rig.devices["storage-1"].role == "storage" and rig.devices["device-1"].role == "other"
    assert "it could run at 5000 Mb/s but runs at 480" in text


def test_a_camera_with_a_hub_inside(tmp_path: Path) -> None:
    rig = drafted("camera-with-hub", tmp_path)
    camera = rig.devices["device-1"]
    told = camera.facts
    assert camera.plug == "computer/usb3-1"
    assert [value_of(fact) for fact in (told.hub_ports, told.hub_speed, told.speed)] == [2, "high", "super"]
    assert rig.devices["hid-1"].plug == "device-1/usb2-2"
    # usb2-1 to usb2-3 are the other sockets of the first controller, usb2-4 the first of the second.
    assert rig.devices["device-2"].plug == "computer/usb2-5"
    ports = rig.computer.ports
    assert ports is not None and ports["usb2-5"].controller == "controller-2"


def test_translators(tmp_path: Path) -> None:
    rig = drafted("translators", tmp_path)
    assert [(value_of(hub.facts.speed), value_of(hub.facts.translators)) for hub in rig.hubs.values()] == [
        ("high", "per-port"),
        ("high", "one"),
        ("high", "one"),
        ("full", None),
    ]


def test_pasted_text_drafts_too() -> None:
    rig = read_text(draft(read_scan(TEXT)), "rig.yaml").document
    assert rig.hubs["hub-1"].plug == "computer/usb3-1" and rig.devices["device-1"].plug == "hub-1/3"
    assert value_of(rig.devices["camera-1"].facts.interface) == "iso"


def test_pasted_text_that_lacks_lines_drafts_a_rig_that_can_be_checked() -> None:
    """People paste what they think matters: blocks and single lines of hubs are missing."""
    rng = random.Random(11)
    for _ in range(120):
        lines = TEXT.split("\n")
        for _ in range(rng.choice((1, 1, 2, 5))):
            tops = [n for n, line in enumerate(lines) if line.startswith("T:")]
            del lines[rng.choice(tops) if tops and rng.random() < 0.4 else rng.randrange(len(lines))]
        with contextlib.suppress(ScanError):
            examine_text(draft(read_scan("\n".join(lines))))


def test_a_hub_whose_own_line_is_missing_has_sockets_all_the_same() -> None:
    text = "\n".join(line for line in TEXT.split("\n") if not line.startswith("D:  Ver= 2.10 Cls=09"))
    assert text != TEXT
    rig = read_text(draft(read_scan(text)), "rig.yaml").document
    plugs = [part.plug or "" for part in rig.devices.values()]
    assert any(plug.startswith("device-1/usb2-") for plug in plugs), plugs


def test_hostile_names_stay_in_comments(tmp_path: Path) -> None:
    text = draft(scan(str(build(recording("hostile"), tmp_path))))
    rig = read_text(text, "rig.yaml").document
    assert rig.rig == "My rig" and list(rig.devices) == [f"device-{n}" for n in range(1, 7)]
    assert "\x1b" not in text and "\u202e" not in text and all(len(line) < 200 for line in text.splitlines())


@settings(max_examples=60, deadline=None)
@given(st.text(min_size=1, max_size=60), st.text(min_size=1, max_size=60))
def test_any_text_of_a_device_leaves_the_draft_valid(name: str, serial: str) -> None:
    hostile = tuple(replace(s, product=name, serial=serial, manufacturer=name) for s in PASTED.sightings)
    rig = read_text(draft(replace(PASTED, sightings=hostile)), "rig.yaml").document
    assert len(rig.devices) == 2 and len(rig.hubs) == 1


PASTED: Scan = read_scan(TEXT)


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=40))
def test_quoted_scalars_come_back(text: str) -> None:
    import yaml

    assert yaml.safe_load(double_quoted(text)) == text


def test_a_draft_says_what_is_open_now_and_the_name_that_lasts(tmp_path: Path) -> None:
    from tests.live.machine import Adapter, FakeMachine
    from topo.live.sysfs import scan as scanned

    machine = FakeMachine(tmp_path)
    machine.plug(Adapter("1-1", serial="A1"), Adapter("1-2", "ttyUSB1", minor=1, product='evil" # \x1b[0m'))
    text = draft(scanned(machine.sys))
    assert 'opens: "/dev/ttyUSB0"' in text
    assert "# a name that lasts: /dev/serial/by-id/usb-Made_Up_Adapter_A1-if00" in text
    assert "\x1b" not in text
    rigfile = read_text(text, "rig.yaml")
    assert [d.opens for d in rigfile.document.devices.values()] == ["/dev/ttyUSB0", "/dev/ttyUSB1"]
