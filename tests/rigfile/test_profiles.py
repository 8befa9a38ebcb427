"""Profiles: ten plain lines do, each fact carries its source, and each mistake its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from topo.errors import RigFileError
from topo.model.declare import known
from topo.model.facts import Fact, value_of
from topo.model.rig import Controller, Place, Socket
from topo.model.speed import Speed
from topo.rigfile.entries import ControllerEntry, PortEntry
from topo.rigfile.profiles import profiles_of, read_profiles, sockets_of
from topo.rigfile.read import read, read_text

TEN_LINES = """\
kind: device
summary: guide camera, 2 MP
role: guiding
source: measured on one sample
facts:
  speed: high
  width_px: 1920
  height_px: 1080
  sample_bits: 12
  readout_mb_per_s: {value: 38.5, source: a data sheet}
"""


def problems_of(text: str) -> list[tuple[int, int, str, str]]:
    with pytest.raises(RigFileError) as caught:
        read_profiles(text, "cam.yaml", "me")
    return [(p.line, p.column, p.message, p.hint) for p in caught.value.problems]


def test_ten_lines_make_a_profile() -> None:
    [profile] = read_profiles(TEN_LINES, "folder/my-camera.yaml", "my folder")
    assert (profile.name, profile.kind, profile.role) == ("my-camera", "device", "guiding")
    assert profile.supplied_by == "my folder"
    assert profile.place == Place("folder/my-camera.yaml", 1, 1)
    assert dict(known(profile.facts)) == {
        "speed": Fact("high", "profile", "measured on one sample"),
        "width_px": Fact(1920, "profile", "measured on one sample"),
        "height_px": Fact(1080, "profile", "measured on one sample"),
        "sample_bits": Fact(12, "profile", "measured on one sample"),
        "readout_mb_per_s": Fact(38.5, "profile", "a data sheet"),
    }


def test_facts_come_in_the_order_of_the_schema() -> None:
    [profile] = read_profiles("facts: {width_px: 3, speed: low}\n", "x.yaml", "me")
    assert [name for name, _ in known(profile.facts)] == ["speed", "width_px"]


def test_many_profiles_in_a_file() -> None:
    text = "profiles:\n  a: {kind: hub, facts: {ports: 4}}\n  b: {serial: {baud: 9600}}\n"
    hub, device = read_profiles(text, "x.yaml", "me")
    assert (hub.name, value_of(hub.facts.ports), hub.place.line) == ("a", 4, 2)
    assert device.serial.baud == Fact(9600, "profile", "")


def test_a_computer_with_sockets_and_uplinks() -> None:
    text = (
        "kind: computer\nsource: common practice, no source\ncontrollers: {left: {uplink: pcie2x1}, right: }\n"
        "ports:\n  usb3-1: {controller: left, speed: super, usb2_bus: one}\n  usb2-1: {controller: right}\n"
        "  usb3-2:\n  serial-1: {controller: right}\n"
    )
    [profile] = read_profiles(text, "pc.yaml", "me")
    assert profile.controllers == (Controller("left", Fact("pcie2x1", "profile", "common practice, no source")),)
    assert profile.sockets == (
        Socket("usb3-1", Speed.SUPER, "usb", "left", "one", "profile"),
        Socket("usb2-1", Speed.HIGH, "usb", "right", None, "assumed"),
        Socket("usb3-2", Speed.SUPER, "usb", "left", None, "assumed"),
        Socket("serial-1", Speed.FULL, "serial", "right", None, "profile"),
    )


def test_the_only_controller_is_known_and_an_unnamed_one_assumed() -> None:
    port = PortEntry(speed="super")
    [socket] = sockets_of({"a": port}, {"it": ControllerEntry()})
    assert socket == Socket("a", Speed.SUPER, "usb", "it", None, "profile")
    assert sockets_of({"a": port}, {})[0] == Socket("a", Speed.SUPER, "usb", "usb", None, "assumed")


def test_mistakes_have_places_also_where_the_entry_is_wrong_otherwise() -> None:
    text = (
        "profiles:\n  pc:\n    kind: computer\n    facts: {width_px: 3, port_ma: {value: 3 A, source: s}}\n"
        "    ports: {a: {controller: y}}\n    controllers: {x: }\n"
        "  cam:\n    sumary: x\n    facts: {speed: {value: fast, source: z}, max_fps: [1], bus_ma: {value: 5}}\n"
    )
    assert [row[:3] for row in problems_of(text)] == [
        (4, 13, "there is no key 'width_px' here"),
        (4, 43, "`port_ma` takes a number of milliamperes (mA), not '3 A'"),
        (5, 29, "there is no controller 'y'"),
        (8, 5, "there is no key 'sumary' here"),
        (9, 28, "`speed` cannot be 'fast'"),
        (9, 55, "`max_fps` takes one value, not a list"),
        (9, 60, "'bus_ma' lacks `source`"),
    ]


def test_facts_with_no_value_must_exist_all_the_same() -> None:
    assert problems_of("facts:\n  widht_px:\n") == [(2, 3, "there is no key 'widht_px' here", "nearest name: width_px")]


def test_what_a_kind_does_not_have() -> None:
    assert problems_of("kind: hub\nports: {a: }\n") == [(2, 1, "a profile of a hub has no `ports`", "")]
    assert problems_of("kind: computer\nrole: mount\n") == [(2, 1, "a profile of a computer has no `role`", "")]


def test_keys_beside_profiles() -> None:
    assert problems_of("profiles: {a: {}}\nrole: mount\n")[0][:3] == (2, 1, "there is no key 'role' beside `profiles:`")
    assert problems_of("profiles: 3\n")[0][:3] == (1, 11, "`profiles` takes names with a profile below each")


def test_profiles_of_a_rig_file_and_of_files_beside_it(tmp_path: Path) -> None:
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / "cam.yaml").write_text(TEN_LINES)
    path = tmp_path / "rig.yaml"
    path.write_text("rig: T\ncomputer: {}\nprofiles: {own: {facts: {speed: high}}}\nprofile_files: [more/cam.yaml]\n")
    own, cam = profiles_of(read(path))
    assert (own.name, own.supplied_by, own.place.line) == ("own", "the rig file", 3)
    assert (cam.name, cam.supplied_by) == ("cam", "the file more/cam.yaml")


@pytest.mark.parametrize("written", ["../x.yaml", "/etc/hostname", "a/../../x", "..", "C:\\x.yaml", "a\\..\\..\\x"])
def test_profile_files_stay_beneath_the_rig_file(written: str, tmp_path: Path) -> None:
    rigfile = read_text(f"rig: T\ncomputer: {{}}\nprofile_files:\n  - '{written}'\n", str(tmp_path / "rig.yaml"))
    with pytest.raises(RigFileError) as caught:
        profiles_of(rigfile)
    [problem] = caught.value.problems
    assert (problem.line, problem.column) == (4, 5)
    assert "is not a path beneath the folder of the rig file" in problem.message


def test_a_link_that_leads_out_is_refused(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    (tmp_path / "out.yaml").write_text(TEN_LINES)
    (tmp_path / "in" / "link.yaml").symlink_to(tmp_path / "out.yaml")
    rigfile = read_text("rig: T\ncomputer: {}\nprofile_files: [link.yaml]\n", str(tmp_path / "in" / "rig.yaml"))
    with pytest.raises(RigFileError, match="not a path beneath"):
        profiles_of(rigfile)


def test_a_profile_file_that_is_missing_and_one_with_a_taken_name(tmp_path: Path) -> None:
    rigfile = read_text(
        "rig: T\ncomputer: {}\nprofile_files: [cam.yaml]\nprofiles: {cam: }\n", str(tmp_path / "r.yaml")
    )
    with pytest.raises(RigFileError, match=r"cam\.yaml: there is no such file"):
        profiles_of(rigfile)
    (tmp_path / "cam.yaml").write_text(TEN_LINES)
    with pytest.raises(RigFileError, match=r"r\.yaml:3:17: 'cam\.yaml' has a profile 'cam', and there is one already"):
        profiles_of(rigfile)


def test_wrong_facts_of_inline_profiles_are_told_when_the_rig_is_read() -> None:
    with pytest.raises(RigFileError, match="x:3:34: `width_px` takes a whole number of pixels"):
        read_text("rig: T\ncomputer: {}\nprofiles: {a: {facts: {width_px: wide}}}\n", "x")


def test_facts_of_an_entry_leave_out_what_is_no_fact() -> None:
    text = "rig: T\ncomputer: {}\ndevices: {a: {profile: x, height_px: 2, width_px: 1, role: imaging, note: n}}\n"
    entry = read_text(text, "x").document.devices["a"]
    assert dict(known(entry.facts)) == {"width_px": Fact(1, "declared"), "height_px": Fact(2, "declared")}
    assert (entry.profile, entry.role, entry.note) == ("x", "imaging", "n")
