"""Things as they are on real rigs: two-sided hubs, cameras with a hub inside, hubs of several chips, moved branches."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.compare.pieces import COMPUTER, compared, found
from topo.checks.scans import BOS, HUB3, adapter, hub, port, scan, seen, wheel

CAMERA = "role: imaging, width_px: 6248, height_px: 4176, speed: super"
GUIDE = "role: guiding, width_px: 1280, height_px: 960, speed: high"
BACK = COMPUTER + f"""\
devices:
  camera: {{{CAMERA}, hub_ports: 2, plug: computer/usb3-1}}
  guide: {{{GUIDE}, plug: camera/usb2-1}}
  wheel: {{role: filter-wheel, interface: hid, speed: full, plug: camera/usb2-2}}
"""
BEHIND = {"guide": "1-1.2", "wheel": "1-1.3"}
MAIN = {"product_id": "0260", "could_mbit": BOS}


def test_both_sides_of_a_hub_are_one_part() -> None:
    rig = COMPUTER + f"""\
hubs:
  hub: {{speed: super, ports: 4, plug: computer/usb3-1}}
devices:
  camera: {{{CAMERA}, plug: hub/1}}
  guide: {{{GUIDE}, plug: hub/2}}
"""
    comparison = compared(rig, scan(*HUB3, seen("2-1.1", speed=5000), seen("1-1.2")))
    assert found(comparison) == {"hub": "1-1", "camera": "2-1.1", "guide": "1-1.2"}
    assert [s.id for s in comparison.matches[0].hub_sides] == ["1-1", "2-1"]
    assert not comparison.missing and not comparison.unexpected


@pytest.mark.parametrize(("name", "sightings", "ports"), [
    ("joined by its port peers", (hub("1-1"), seen("2-4", speed=5000)),
     (port("usb1", 1, peer=["usb2", 4]), port("usb2", 4, peer=["usb1", 1]))),
    ("beside its hub, with nothing to join them", (hub("1-1"), seen("2-4", speed=5000)), ()),
    ("behind its hub, fallen back", (hub("1-1"), seen("1-1.1", usb_version=2.1, **MAIN)), ()),
])
def test_a_camera_with_sockets_on_its_back(name: str, sightings: tuple, ports: tuple) -> None:  # type: ignore[type-arg]
    live = scan(*sightings, seen("1-1.2", product_id="0120"), wheel("1-1.3"), ports=ports)
    comparison = compared(BACK, live)
    camera = "1-1.1" if "fallen" in name else "2-4"
    assert found(comparison) == {"camera": camera, **BEHIND}
    assert not comparison.unexpected
    assert {t.key for t in comparison.matches[0].things} <= {"1-1", "2-4", "1-1.1"}
    assert comparison.study.topology.speed("camera") == (3 if "fallen" in name else 4)


def test_only_the_hub_of_a_camera_is_seen() -> None:
    comparison = compared(BACK, scan(hub("1-1"), seen("1-1.2", product_id="0120"), wheel("1-1.3")))
    camera = comparison.match("camera")
    assert camera is not None and camera.own is None and camera.speed_mbit is None
    assert comparison.match("guide") is not None and comparison.match("wheel") is not None


def test_a_hub_of_seven_sockets_is_two_chips_in_one_case() -> None:
    devices = "".join(f"  a{n}: {{interface: serial, speed: full, plug: hub/{n}}}\n" for n in range(1, 7))
    rig = COMPUTER + f"hubs:\n  hub: {{speed: high, ports: 7, plug: computer/usb3-1}}\ndevices:\n{devices}"
    live = scan(hub("1-1"), *(adapter(f"1-1.{n}", serial=str(n)) for n in (1, 2, 3)), hub("1-1.4"),
                *(adapter(f"1-1.4.{n}", serial=f"4{n}") for n in (1, 2, 3)))
    comparison = compared(rig, live)
    assert not comparison.missing and not comparison.unexpected
    assert [thing.key for thing in comparison.matches[0].things] == ["1-1", "1-1.4"]
    assert not any(match.moved for match in comparison.matches)


def test_an_active_cable_is_seen_as_a_hub() -> None:
    rig = COMPUTER + f"devices:\n  guide: {{{GUIDE}, plug: computer/usb3-1, cable: {{length_m: 10, active: true}}}}\n"
    comparison = compared(rig, scan(hub("1-1", ports=1, self_powered=False), seen("1-1.1")))
    assert found(comparison) == {"guide": "1-1.1"}
    assert not comparison.unexpected


def test_a_hub_that_the_file_does_not_have() -> None:
    rig = COMPUTER + f"devices:\n  guide: {{{GUIDE}, plug: computer/usb3-1}}\n"
    comparison = compared(rig, scan(hub("1-1"), seen("1-1.1")))
    assert found(comparison) == {"guide": "1-1.1 moved"}
    assert [thing.key for thing in comparison.unexpected] == ["1-1"]


def test_a_branch_that_was_moved_as_a_whole() -> None:
    rig = COMPUTER + f"""\
hubs:
  near: {{speed: high, ports: 4, plug: computer/usb3-1}}
  far: {{speed: high, ports: 4, plug: computer/usb3-2}}
devices:
  guide: {{{GUIDE}, plug: near/1}}
  mount: {{role: mount, interface: serial, speed: full, plug: far/1}}
  wheel: {{role: filter-wheel, interface: hid, speed: full, plug: far/2}}
"""
    live = scan(hub("1-1"), seen("1-1.1"), hub("1-1.3", vendor_id="f1c0"), adapter("1-1.3.1"), wheel("1-1.3.2"))
    comparison = compared(rig, live)
    assert found(comparison) == {
        "near": "1-1", "far": "1-1.3 moved", "guide": "1-1.1", "mount": "1-1.3.1", "wheel": "1-1.3.2"}
    assert str(comparison.study.rig.part("far").plug) == "near/3"


def test_the_only_one_of_its_kind_is_found_anywhere_but_one_of_two_is_not() -> None:
    rig = COMPUTER + """\
hubs:
  hub: {speed: high, ports: 4, plug: computer/usb3-1}
devices:
  wheel: {role: filter-wheel, interface: hid, speed: full, plug: hub/1}
  mount: {role: mount, interface: serial, speed: full, plug: hub/2}
"""
    assert found(compared(rig, scan(hub("1-1"), adapter("1-1.2"), wheel("1-4"))))["wheel"] == "1-4 moved"
    comparison = compared(rig, scan(hub("1-1"), adapter("1-1.2"), wheel("1-4"), wheel("1-5")))
    assert comparison.missing == ("wheel",) and len(comparison.unexpected) == 2
    built_in = compared(rig, scan(hub("1-1"), adapter("1-1.2"), wheel("1-4", removable="fixed")))
    assert built_in.missing == ("wheel",)


def test_parts_that_no_scan_shows_are_not_missing() -> None:
    rig = COMPUTER + """\
devices:
  adapter: {interface: serial, speed: full, serial_sockets: 2, plug: computer/usb3-1}
  mount: {role: mount, interface: serial, plug: adapter/serial-1, serial: {baud: 9600, polls_per_s: 1, bytes_in: 10}}
  dew: {role: dew, interface: none}
"""
    live = scan(adapter("1-1"), serial_ports=[{"name": "ttyUSB0", "device": "1-1", "latency_timer_ms": 16}])
    comparison = compared(rig, live)
    assert comparison.missing == () and comparison.unseen == ("mount", "dew")
    assert comparison.study.rig.part("mount").serial.latency_timer_ms.basis == "measured"


def test_a_thing_whose_place_is_not_told_is_not_moved() -> None:
    rig = COMPUTER + "devices:\n  wheel: {role: filter-wheel, interface: hid, speed: full, plug: computer/usb3-1}\n"
    loose = {**wheel("1-1"), "id": "1-?7", "ports": [], "parent": None}
    assert found(compared(rig, scan(loose))) == {"wheel": "1-?7"}


def test_an_empty_scan_and_an_empty_rig() -> None:
    assert compared(BACK, scan()).missing == ("camera", "guide", "wheel")
    assert compared(COMPUTER, scan(seen("1-1"))).matches == ()


def test_text_of_the_kernel_is_a_scan(tmp_path: Path) -> None:
    text = """\
T:  Bus=01 Lev=00 Prnt=00 Port=00 Cnt=00 Dev#=  1 Spd=480  MxCh= 4
D:  Ver= 2.00 Cls=09(hub  ) Sub=00 Prot=01 MxPS=64 #Cfgs=  1
P:  Vendor=f1d6 ProdID=0002 Rev= 6.08
T:  Bus=01 Lev=01 Prnt=01 Port=01 Cnt=01 Dev#=  2 Spd=12   MxCh= 0
D:  Ver= 2.00 Cls=00(>ifc ) Sub=00 Prot=00 MxPS=64 #Cfgs=  1
P:  Vendor=f1b0 ProdID=0007 Rev= 1.00
C:* #Ifs= 1 Cfg#= 1 Atr=a0 MxPwr=100mA
I:* If#= 0 Alt= 0 #EPs= 1 Cls=03(HID  ) Sub=00 Prot=00 Driver=usbhid
E:  Ad=81(I) Atr=03(Int.) MxPS=  32 Ivl=4ms
"""
    rig = COMPUTER + "devices:\n  wheel: {role: filter-wheel, interface: hid, speed: full, plug: computer/usb3-1}\n"
    assert found(compared(rig, text)) == {"wheel": "1-2"}
