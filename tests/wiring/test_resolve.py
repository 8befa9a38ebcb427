"""From a rig file and profiles to a rig: what wins, what is assumed, and names that lead nowhere, with their places."""

from __future__ import annotations

import pytest

from tests.facts import facts
from topo.errors import Problem, RigFileError
from topo.model.declare import known
from topo.model.facts import Fact
from topo.model.feeds import LeadFacts
from topo.model.profile import Profile
from topo.model.records import CableFacts, DeviceFacts
from topo.model.rig import Controller, Device, Identity, Rig, Socket
from topo.model.speed import Speed
from topo.rigfile.entries import DeviceEntry, HubEntry
from topo.rigfile.profiles import read_profiles
from topo.rigfile.read import read_text
from topo.wiring.resolve import resolve, resolve_part

PROFILES = """profiles:
  pc:
    kind: computer
    facts: {os: linux, port_ma: 900}
    controllers: {left: {uplink: pcie2x1}, right: {}}
    ports: {usb3-1: {controller: left, speed: super, usb2_bus: one}, usb2-1: {controller: right, speed: high},
      serial-1: {controller: right}}
  plain-pc: {kind: computer}
  hub-four: {kind: hub, facts: {speed: super, ports: 4}}
  camera-small:
    role: guiding
    source: data sheet
    facts: {speed: high, width_px: 1280, height_px: 960, hub_ports: 2}
  mount-slow: {role: mount, facts: {speed: full, interface: serial}, serial: {baud: 9600, polls_per_s: 1, bytes_in: 9}}
  adapter: {facts: {speed: full, serial_sockets: 2}}
"""


class Shelf:
    """Profiles of these tests."""

    def __init__(self) -> None:
        self.known = {profile.name: profile for profile in read_profiles(PROFILES, "more.yaml", "these tests")}

    def profile(self, name: str) -> Profile | None:
        return self.known.get(name)

    def profile_names(self) -> tuple[str, ...]:
        return tuple(self.known)


def made(text: str) -> Rig:
    return resolve(read_text(text, "rig.yaml"), Shelf())


def problems(text: str) -> list[Problem]:
    with pytest.raises(RigFileError) as caught:
        made(text)
    return list(caught.value.problems)


def device(text: str) -> Device:
    return made(f"rig: A\ncomputer: {{profile: pc}}\ndevices:\n  it: {text}\n").part("it")


# -- names that lead nowhere ----------------------------------------------------------------------------------------


def test_every_profile_that_does_not_exist_is_told_with_its_place_and_the_nearest_name() -> None:
    text = (
        "rig: A\ncomputer: {profile: pcc}\nhubs:\n  h: {profile: hub-for}\n"
        "devices:\n  c:\n    role: imaging\n    profile: camera-smal\n  d: {profile: xyzzy}\n"
    )
    assert [(p.line, p.column, p.message) for p in problems(text)] == [
        (2, 21, "no profile is called 'pcc'"),
        (4, 16, "no profile is called 'hub-for'"),
        (8, 14, "no profile is called 'camera-smal'"),
        (9, 16, "no profile is called 'xyzzy'"),
    ]
    hints = [p.hint for p in problems(text)]
    assert hints[0] == "nearest name: pc; `topo profiles WORD` searches them"
    assert "nearest name: hub-four" in hints[1] and "nearest name: camera-small" in hints[2]
    assert hints[3].startswith("`topo profiles WORD` searches them; nothing fits? Leave `profile` out")


def test_a_profile_of_another_kind_is_told() -> None:
    [problem] = problems("rig: A\ncomputer: {profile: hub-four}\n")
    assert problem.message == "'hub-four' is a profile of a hub, and this is a computer"
    assert problem.hint == "write this entry under `hubs:`"
    [problem] = problems("rig: A\ncomputer: {}\nhubs: {h: {profile: camera-small}}\n")
    assert problem.message == "'camera-small' is a profile of a device, and this is a hub"
    assert problem.hint == "write this entry under `devices:`"
    [problem] = problems("rig: A\ncomputer: {}\ndevices: {h: {profile: hub-four}}\n")
    assert (problem.message, problem.hint) == (
        "'hub-four' is a profile of a hub, and this is a device", "write this entry under `hubs:`")


def test_a_socket_that_does_not_exist() -> None:
    text = (
        "rig: A\ncomputer: {profile: pc}\nhubs:\n  h: {profile: hub-four, plug: computer/usb3-2}\n"
        "devices:\n  a: {profile: camera-small, plug: h/5}\n  b: {profile: camera-small, plug: a/usb2-3}\n"
        "  c: {profile: mount-slow, plug: b/usb2-2}\n  d: {role: mount, plug: c/usb2-1}\n"
    )
    assert [(p.line, p.column, p.message) for p in problems(text)] == [
        (4, 32, "'computer' has no socket 'usb3-2'"),
        (6, 36, "'h' has no socket '5'"),
        (7, 36, "'a' has no socket 'usb2-3'"),
        (9, 26, "'c' has no sockets to plug into"),
    ]
    hints = [p.hint for p in problems(text)]
    assert hints[0] == "nearest name: usb3-1; it has usb3-1, usb2-1, serial-1"
    assert hints[1] == "it has 1, 2, 3, 4"
    assert hints[2].startswith("nearest name: usb2-") and hints[2].endswith("it has usb2-1, usb2-2")
    assert hints[3] == "give it `hub_ports` if it has some"


def test_many_sockets_are_not_all_listed() -> None:
    [problem] = problems("rig: A\ncomputer: {}\nhubs: {h: {ports: 12}}\ndevices: {a: {plug: h/x}}\n")
    assert problem.hint == "it has 1, 2, 3, 4, 5, 6, 7, 8 and 4 more"


def test_profiles_and_sockets_are_told_at_once() -> None:
    text = "rig: A\ncomputer: {profile: pc}\ndevices: {a: {profile: nope, plug: computer/nope}}\n"
    assert [p.message for p in problems(text)] == ["no profile is called 'nope'", "'computer' has no socket 'nope'"]


def test_names_in_messages_are_harmless() -> None:
    text = 'rig: A\ncomputer: {}\nhubs: {h: {ports: 1}}\ndevices: {a: {plug: "h/漢é"}, b: {profile: "<b>"}}\n'
    assert all(str(problem).isprintable() for problem in problems(text))


# -- what wins ------------------------------------------------------------------------------------------------------


def test_what_the_file_says_wins_and_the_basis_follows() -> None:
    part = device("{profile: camera-small, width_px: 640, frame_memory_mb: 0, role: imaging, cable: {grade: usb2}}")
    assert part.facts.width_px == Fact(640, "declared")
    assert part.facts.height_px == Fact(960, "profile", "data sheet")
    assert part.facts.frame_memory_mb == Fact(0, "declared")
    assert part.role == "imaging" and part.cable == facts(CableFacts, grade="usb2") and part.profile == "camera-small"


def test_role_and_serial_line_come_from_the_profile_unless_said() -> None:
    part = device("{profile: mount-slow, serial: {baud: 115200}, use: {exposure_s: 2}}")
    assert part.role == "mount"
    assert part.serial.baud == Fact(115200, "declared") and part.serial.polls_per_s == Fact(1, "profile")
    assert dict(known(part.use)) == {"exposure_s": Fact(2, "declared")}


def test_facts_keep_the_order_of_the_schema() -> None:
    part = device("{height_px: 2, width_px: 1, speed: high}")
    assert [name for name, _ in known(part.facts)] == ["speed", "width_px", "height_px"]


def test_ids_are_written_small() -> None:
    part = device('{identity: {vendor_id: 00FA, product_id: "00e1", serial: AbC}}')
    assert part.identity == Identity("00fa", "00e1", "AbC")


def test_places_are_those_of_the_file() -> None:
    rig = made("rig: A\ncomputer: {profile: pc}\ndevices:\n  a:\n    plug: computer/usb2-1\n")
    assert (rig.part("a").place.line, rig.part("a").place.column) == (4, 3)
    plug = rig.part("a").plug
    assert plug is not None and (plug.place.line, plug.place.column) == (5, 11)


# -- computers ------------------------------------------------------------------------------------------------------


def test_ports_of_the_file_lie_over_those_of_the_profile() -> None:
    rig = made(
        "rig: A\ncomputer:\n  profile: pc\n  controllers: {right: {uplink: 400}}\n"
        "  ports: {usb2-1: {usb2_bus: two}, usb3-1: {controller: right, speed: super-plus}, usb3-9: {}, front: {}}\n"
    )
    assert rig.computer.sockets == (
        Socket("usb3-1", Speed.SUPER_PLUS, "usb", "right", "one", "declared"),
        Socket("usb2-1", Speed.HIGH, "usb", "right", "two", "profile"),
        Socket("serial-1", Speed.FULL, "serial", "right", None, "profile"),
        Socket("usb3-9", Speed.SUPER, "usb", "right", None, "assumed"),
        Socket("front", Speed.HIGH, "usb", "right", None, "assumed"),
    )
    assert rig.computer.controllers == (
        Controller("left", Fact("pcie2x1", "profile")), Controller("right", Fact("400", "declared")),
    )  # fmt: skip
    assert rig.computer.uplink("right") == Fact("400", "declared")
    assert rig.computer.uplink("middle") is None and rig.computer.uplink(None) is None


def test_a_computer_without_ports_has_those_in_use() -> None:
    rig = made(
        "rig: A\ncomputer: {profile: plain-pc}\ndevices:\n  a: {plug: computer/usb3-1}\n  b: {plug: computer/front}\n"
        "  c: {plug: computer/serial-1}\n  d: {plug: computer/usb-c-2}\n  e: {plug: computer/usb3-1}\n"
    )
    assert rig.computer.sockets == (
        Socket("usb3-1", Speed.SUPER, "usb", "usb", None, "assumed"),
        Socket("front", Speed.HIGH, "usb", "usb", None, "assumed"),
        Socket("serial-1", Speed.FULL, "serial", None, None, "assumed"),
        Socket("usb-c-2", Speed.SUPER, "usb", "usb", None, "assumed"),
    )


def test_ports_without_a_speed_or_a_controller_are_assumed() -> None:
    rig = made("rig: A\ncomputer: {ports: {usb3-1: {}, usb2-1: {speed: full}, serial-1: {}, x: {controller: c}}}\n")
    assert [(s.name, s.speed, s.controller, s.basis) for s in rig.computer.sockets] == [
        ("usb3-1", Speed.SUPER, "usb", "assumed"), ("usb2-1", Speed.FULL, "usb", "assumed"),
        ("serial-1", Speed.FULL, "usb", "assumed"), ("x", Speed.HIGH, "c", "assumed"),
    ]  # fmt: skip


# -- hubs and devices -----------------------------------------------------------------------------------------------


def test_a_hub_without_ports_has_those_in_use_at_its_speed() -> None:
    rig = made(
        "rig: A\ncomputer: {}\nhubs:\n  h: {speed: super, plug: computer/usb3-1}\n  i: {plug: h/7}\n"
        "devices: {a: {plug: h/2}, b: {plug: i/1}}\n"
    )
    assert rig.part("h").sockets == (
        Socket("7", Speed.SUPER, basis="assumed"), Socket("2", Speed.SUPER, basis="assumed"),
    )  # fmt: skip
    assert rig.part("i").facts.speed == Fact("high", "assumed", "no speed is given for this hub")
    assert rig.part("i").sockets == (Socket("1", Speed.HIGH, basis="assumed"),)


def test_sockets_of_hubs_cameras_and_adapters() -> None:
    rig = made(
        "rig: A\ncomputer: {}\nhubs: {h: {profile: hub-four}, i: {ports: 2, speed: full}}\n"
        "devices:\n  a: {profile: camera-small}\n  b: {hub_ports: 1, hub_speed: super}\n"
        "  c: {profile: adapter, hub_ports: 1}\n"
    )
    assert [s.name for s in rig.part("h").sockets] == ["1", "2", "3", "4"]
    assert {(s.speed, s.basis) for s in rig.part("h").sockets} == {(Speed.SUPER, "profile")}
    assert {(s.speed, s.basis) for s in rig.part("i").sockets} == {(Speed.FULL, "declared")}
    assert rig.part("a").sockets == (
        Socket("usb2-1", Speed.HIGH, basis="profile"), Socket("usb2-2", Speed.HIGH, basis="profile"),
    )  # fmt: skip
    assert rig.part("b").sockets == (Socket("usb3-1", Speed.SUPER),)
    assert rig.part("c").sockets == (
        Socket("usb2-1", Speed.HIGH), Socket("serial-1", Speed.FULL, "serial", basis="profile"),
        Socket("serial-2", Speed.FULL, "serial", basis="profile"),
    )  # fmt: skip


@pytest.mark.parametrize(("entry", "speed"), [
    ("{role: mount}", "full"), ("{role: dew}", "full"), ("{role: imaging}", "high"), ("{role: other}", "high"),
    ("{interface: serial}", "full"), ("{interface: hid}", "full"), ("{interface: network}", "high"),
    ("{serial: {baud: 9600}}", "full"), ("{role: imaging, serial: {baud: 9600}}", "full"),
])  # fmt: skip
def test_an_unknown_speed_is_assumed_from_what_the_device_is(entry: str, speed: str) -> None:
    assert device(entry).facts.speed == Fact(speed, "assumed", "no speed is given")


def test_what_has_no_usb_has_no_speed() -> None:
    assert device("{interface: none, role: dew}").facts.speed is None


def test_a_part_alone_resolves_as_in_the_file() -> None:
    text = (
        "rig: A\ncomputer: {profile: pc}\nhubs: {h: {profile: hub-four}}\n"
        "devices: {a: {profile: camera-small, bus_ma: 9}}\n"
    )
    rigfile, shelf = read_text(text, "rig.yaml"), Shelf()
    rig = resolve(rigfile, shelf)
    entry = DeviceEntry(profile="camera-small", facts=facts(DeviceFacts, bus_ma=9.0))
    alone = resolve_part(rigfile, "a", entry, shelf.profile("camera-small"))
    assert alone == rig.part("a")
    assert resolve_part(rigfile, "h", HubEntry(profile="hub-four"), shelf.profile("hub-four")) == rig.part("h")


def test_the_12_v_side_comes_along() -> None:
    rig = made(
        "rig: A\ncomputer: {}\ndevices: {a: {}}\npower:\n  supplies: {s: {volts: 13.2, amps: 10}}\n"
        "  leads: {l: {from: s, to: a, length_m: 2, gauge_awg: 16, fuse_amps: 5}}\n"
    )
    [supply], [lead] = rig.supplies, rig.leads
    assert (supply.id, supply.volts, supply.amps, supply.place.line) == ("s", 13.2, 10, 5)
    assert (lead.source, lead.to) == ("s", "a")
    assert lead.facts == facts(LeadFacts, length_m=2.0, gauge_awg=16, fuse_amps=5.0)
