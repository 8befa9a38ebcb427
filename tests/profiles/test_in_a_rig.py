"""Every profile in a plain rig: it wires, every check runs, and the profile alone is no fault."""

from __future__ import annotations

import pytest

from tests.profiles.shipped import COMPUTERS, DEVICES, HUBS, by_name
from topo.model.facts import value_of
from topo.model.profile import Profile
from topo.pipeline import examine_text

PLAIN = "rig: One part\ncomputer: {profile: desktop-4usb3-4usb2, os: windows}\n"


def plug_of(profile: Profile) -> str:
    return "" if value_of(profile.facts.interface) == "none" else ", plug: computer/usb3-1"


def use_of(profile: Profile) -> str:
    return ", use: {exposure_s: 60}" if profile.facts.width_px is not None else ""


@pytest.mark.parametrize("profile", DEVICES, ids=by_name)
def test_a_device_alone_is_no_fault(profile: Profile) -> None:
    report = examine_text(f"{PLAIN}devices:\n  part: {{profile: {profile.name}{plug_of(profile)}{use_of(profile)}}}\n")
    assert not report.troubles
    assert [finding.name for finding in report.findings if finding.severity == "fault"] == []


@pytest.mark.parametrize("profile", HUBS, ids=by_name)
def test_a_hub_with_a_meter_in_its_last_socket_is_no_fault(profile: Profile) -> None:
    last = value_of(profile.facts.ports)
    report = examine_text(
        f"{PLAIN}hubs:\n  hub: {{profile: {profile.name}, plug: computer/usb3-1}}\n"
        f"devices:\n  meter: {{profile: sky-brightness-serial, plug: hub/{last}}}\n"
    )
    assert not report.troubles
    assert [finding.name for finding in report.findings if finding.severity == "fault"] == []


@pytest.mark.parametrize("profile", COMPUTERS, ids=by_name)
def test_every_socket_of_a_computer_takes_a_part(profile: Profile) -> None:
    parts = "".join(f"  meter-{socket.name}: {{profile: sky-brightness-serial, plug: computer/{socket.name}}}\n"
                    for socket in profile.sockets)
    report = examine_text(f"rig: Full\ncomputer: {{profile: {profile.name}}}\ndevices:\n{parts}")
    assert not report.troubles
    assert [finding.name for finding in report.findings if finding.severity == "fault"] == []


def test_sockets_on_the_back_take_a_guide_camera() -> None:
    for profile in DEVICES:
        count, inside = value_of(profile.facts.hub_ports, 0), value_of(profile.facts.hub_speed, "high")
        word = "usb3" if inside == "super" else "usb2"
        for number in range(1, count + 1):
            report = examine_text(
                f"{PLAIN}devices:\n  part: {{profile: {profile.name}, plug: computer/usb3-1}}\n"
                f"  guide: {{profile: camera-guide-1mp, plug: part/{word}-{number}}}\n"
            )
            assert not report.troubles, profile.name
            assert "wrong-socket" not in {finding.name for finding in report.findings}, profile.name
