"""Measured facts stand in for those of the file, carry their basis, and change what is computed."""

from __future__ import annotations

import pytest

from tests.compare.pieces import COMPUTER, compared
from tests.facts import facts
from topo.checks.scans import BOS, HUB3, adapter, hub, scan, seen, wheel
from topo.model.change import MovePlug, SetCable
from topo.model.facts import value_of
from topo.model.records import CableFacts
from topo.model.speed import Speed

RIG = COMPUTER + """\
hubs:
  hub: {speed: super, ports: 4, translators: per-port, plug: computer/usb3-1}
devices:
  camera: {role: imaging, width_px: 6248, height_px: 4176, speed: super, plug: hub/1, use: {exposure_s: 60}}
  guide: {role: guiding, width_px: 1280, height_px: 960, speed: high, plug: hub/2, use: {exposure_s: 2}}
  wheel: {role: filter-wheel, interface: hid, speed: full, plug: hub/3}
"""
MAIN = {"product_id": "0260", "could_mbit": BOS}
SLOW = scan(*HUB3, seen("1-1.1", usb_version=2.1, **MAIN), seen("1-1.2"), wheel("1-1.3"))
FAST = scan(*HUB3, seen("2-1.1", speed=5000, **MAIN), seen("1-1.2"), wheel("1-1.3"))


def test_a_leg_that_fell_back_carries_usb_2() -> None:
    comparison = compared(RIG, SLOW)
    before, after = comparison.declared.device("camera"), comparison.study.device("camera")
    assert (before.speed, after.speed) == (Speed.SUPER, Speed.HIGH)
    assert before.alone_s is not None and after.alone_s is not None
    # 26.09 Mpx of 2 bytes = 52.2 MB: 52.2/371 to 52.2/336 s at 5 Gb/s, and at 480 Mb/s 52.2/45.4 to 52.2/35.1 s (the
    # most that is seen; the likely 41.5 MB/s where every bit that can be stuffed is, 11 of 13 transactions), and the
    # fixed time of a frame on top: at most 24 ms, 0.1 s here.
    assert before.alone_s.low > 52.18 / 371 and before.alone_s.high < 0.3
    assert 52.18 / 45.4 < after.alone_s.low < after.alone_s.high < 52.18 / 35.1 + 0.1
    assert comparison.study.topology.leg("camera").carries is Speed.HIGH  # type: ignore[union-attr]
    assert comparison.study.rig.part("camera").leg_speed.basis == "measured"
    limit = comparison.study.topology.limit("camera")
    assert limit is not None and limit.part == "camera" and "is seen at 480 Mb/s" in limit.text


def test_nothing_is_marked_where_all_is_as_the_file_has_it() -> None:
    comparison = compared(RIG, FAST)
    assert not any(part.leg_speed is not None for part in comparison.study.rig.parts)
    assert comparison.study.topology.speed("camera") is Speed.SUPER


def test_only_the_first_slow_leg_is_marked() -> None:
    live = scan(hub("1-1", could_mbit=BOS, usb_version=2.1), seen("1-1.1", usb_version=2.1, **MAIN), seen("1-1.2"))
    rig = compared(RIG, live).study.rig
    assert [part.id for part in rig.parts if part.leg_speed is not None] == ["hub"]
    assert compared(RIG, live).study.topology.speed("camera") is Speed.HIGH


def test_a_usb_2_cable_of_the_file_that_runs_at_superspeed() -> None:
    rig = RIG.replace("plug: hub/1", "plug: hub/1, cable: {grade: usb2}")
    comparison = compared(rig, FAST)
    assert comparison.declared.topology.speed("camera") is Speed.HIGH
    assert comparison.study.topology.speed("camera") is Speed.SUPER


def test_what_was_measured_of_a_leg_goes_with_the_leg() -> None:
    study = compared(RIG, SLOW).study
    moved = study.what_if(MovePlug("camera", "computer", "usb3-2"))
    assert moved.topology.speed("camera") is Speed.SUPER
    recabled = study.what_if(SetCable("camera", facts(CableFacts, length_m=1.0, grade="usb3")))
    assert recabled.topology.speed("camera") is Speed.SUPER
    assert study.what_if(MovePlug("guide", "computer", "usb3-2")).topology.speed("camera") is Speed.HIGH


def test_translators_by_the_setting_in_use() -> None:
    assert compared(RIG, FAST).study.rig.part("hub").facts.translators.value == "one"
    live = FAST.replace('"protocol": 1, "max_child"', '"protocol": 2, "max_child"')
    assert compared(RIG, live).study.topology.translator("wheel").port is None  # type: ignore[union-attr]


@pytest.mark.parametrize(("told", "expected"), [
    ({"serial": "A"}, True), ({"product": "thing"}, False), ({"product": None}, None)])
def test_whether_it_tells_a_serial_number(told: dict[str, str | None], expected: bool | None) -> None:
    comparison = compared(RIG, scan(*HUB3, wheel("1-1.3", **told), seen("1-1.2")))
    assert value_of(comparison.study.rig.part("wheel").facts.has_serial_number) is expected


def test_claims_pool_and_timers() -> None:
    rig = COMPUTER + """\
devices:
  mount: {role: mount, interface: serial, plug: computer/usb3-1, bus_ma: 20, serial: {baud: 9600, latency_timer_ms: 1}}
"""
    live = scan(adapter("1-1", max_power_ma=90), usbfs_memory_mb=200,
                serial_ports=[{"name": "ttyUSB0", "device": "1-1", "latency_timer_ms": 16}])
    rig_now = compared(rig, live).study.rig
    assert rig_now.computer.facts.usbfs_memory_mb.value == 200
    assert rig_now.computer.facts.usbfs_memory_mb.basis == "measured"
    mount = rig_now.part("mount")
    assert (mount.facts.bus_ma.value, mount.facts.bus_ma.basis) == (90, "measured")
    assert (mount.serial.latency_timer_ms.value, mount.serial.latency_timer_ms.basis) == (16, "measured")
    itself = compared(rig, scan(adapter("1-1", max_power_ma=90, self_powered=True))).study.rig.part("mount")
    assert itself.facts.bus_ma.basis == "declared"


def test_a_version_without_superspeed_settles_what_a_profile_hoped() -> None:
    comparison = compared(RIG, scan(*HUB3, seen("1-1.1", product_id="0260", usb_version=2.0), seen("1-1.2")))
    assert comparison.study.topology.could_be("camera") is Speed.HIGH
    assert comparison.study.rig.part("camera").facts.speed.basis == "measured"


def test_sockets_by_the_controller_they_are_really_on() -> None:
    rig = """\
rig: Two controllers, says the file
computer:
  controllers: {one: {}, two: {}}
  ports:
    usb2-1: {controller: one, speed: high, usb2_bus: a}
    usb2-2: {controller: two, speed: high, usb2_bus: b}
devices:
  guide: {role: guiding, width_px: 1280, height_px: 960, speed: high, plug: computer/usb2-1}
  disk: {role: storage, speed: high, plug: computer/usb2-2, use: {mb_per_s: 20}}
"""
    together = compared(rig, scan(seen("1-1"), seen("1-2", interfaces=[
        {"number": 0, "setting": 0, "active": True, "usb_class": 8, "subclass": 6, "protocol": 80}])))
    assert together.declared.topology.usb2_bus("guide") != together.declared.topology.usb2_bus("disk")
    assert together.study.topology.usb2_bus("guide") == together.study.topology.usb2_bus("disk")
    # Which root ports share one 480 Mb/s bus no system tells: so it is assumed, not measured.
    assert together.study.topology.usb2_bus("guide")[1] is True  # type: ignore[index]


def test_a_moved_part_is_computed_where_it_is() -> None:
    rig = RIG.replace("plug: hub/2", "plug: computer/usb3-2, identity: {vendor_id: f1a0, product_id: '0120'}")
    comparison = compared(rig, scan(*HUB3, seen("2-1.1", speed=5000, **MAIN), seen("1-1.2", product_id="0120")))
    match = comparison.match("guide")
    assert match is not None and match.moved
    assert str(comparison.study.rig.part("guide").plug) == "hub/2"
