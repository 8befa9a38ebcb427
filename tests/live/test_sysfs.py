"""The sysfs scanner: the project's recordings under umockdev, and trees that block, vanish or refuse."""

from __future__ import annotations

import json
import os
import threading
import time
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tests.live.recordings.make import MACHINES
from tests.live.tools import build, recording, topo_under, unplug
from topo.errors import ScanError
from topo.live.attributes import Attributes
from topo.live.heartbeat import pulse
from topo.live.store import loads
from topo.live.sysfs import scan
from topo.model.sighting import Scan, Sighting


@cache
def seen_in(name: str) -> Scan:
    """The scan of a recording, by the tool itself under umockdev."""
    done = topo_under(recording(name), "live", "--json")
    assert done.returncode == 0, done.stderr
    return loads(json.dumps(json.loads(done.stdout)["scan"]))


def one(found: Scan, name: str) -> Sighting:
    seen = found.sighting(name)
    assert seen is not None, name
    return seen


def test_the_recordings_are_what_their_maker_makes() -> None:
    for name, made in MACHINES.items():
        assert recording(name).read_text(encoding="ascii") == made().text(), f"run make.py again for {name}"


def test_pier() -> None:
    found = seen_in("pier")
    assert [s.id for s in found.sightings] == ["usb1", "1-3", "1-3.2", "1-3.3", "1-3.4", "usb2", "2-1", "2-1.1"]
    main = one(found, "2-1.1")
    assert (main.speed_mbit, main.max_power_ma, main.product, main.serial) == (5000, 400, "Main 26M", "M-0007")
    assert (main.could_mbit, main.controller, main.parent) == ((12, 480, 5000), "0000:00:14.0", "2-1")
    assert main.interfaces[0].driver == "usbfs" and main.interfaces[0].endpoints[0].interval_bytes == 16_384
    hub = one(found, "1-3")
    assert hub.max_child == 4 and [(i.setting, i.active) for i in hub.interfaces] == [(0, False), (1, True)]
    assert hub.container_id == one(found, "2-1").container_id
    assert found.controllers[0].buses == (1, 2) and found.controllers[0].driver == "xhci_hcd"
    port = next(p for p in found.ports if (p.hub, p.number) == ("1-3", 1))
    assert (port.peer, port.device, port.connect_type) == (("2-1", 1), None, "hotplug")
    assert [(p.name, p.device, p.interface, p.latency_timer_ms) for p in found.serial_ports] == [
        ("/dev/ttyACM0", "1-3.4", 0, None),
        ("/dev/ttyUSB0", "1-3.3", 0, 16),
    ]
    assert one(found, "1-3.4").sleep.control == "auto"
    assert found.problems == ()


def test_fallback() -> None:
    found = seen_in("fallback")
    camera, disk = one(found, "1-1"), one(found, "1-2")
    assert (camera.speed_mbit, max(camera.could_mbit)) == (480, 5000)
    assert (disk.speed_mbit, max(disk.could_mbit)) == (480, 10_000)
    peer = next(p for p in found.ports if (p.hub, p.number) == ("usb2", 1))
    assert peer.state == "not attached" and peer.peer == ("usb1", 1)


def test_translators() -> None:
    from topo.wiring.kinds import translators

    found = seen_in("translators")
    assert [translators(one(found, f"1-{n}")) for n in (1, 2, 3, 4)] == ["per-port", "one", "one", None]
    assert one(found, "1-4").speed_mbit == 12


def test_twins() -> None:
    found = seen_in("twins")
    assert one(found, "1-1").serial is None and one(found, "1-3").serial == one(found, "1-4").serial
    assert [p.name for p in found.serial_ports] == ["/dev/ttyUSB0", "/dev/ttyUSB10"]


def test_a_bus_with_no_devices() -> None:
    found = seen_in("empty")
    assert [(c.id, c.buses) for c in found.controllers] == [("0000:00:14.0", (1, 2)), ("0000:03:00.0", (3, 4))]
    assert all(s.is_root for s in found.sightings)


def test_lying_descriptors() -> None:
    found = seen_in("lying")
    assert one(found, "1-1").interfaces[0].endpoints == ()
    assert len(one(found, "1-2").interfaces[0].endpoints) == 1
    assert one(found, "1-4").vendor_id == "0000"
    assert one(found, "1-5").could_mbit == ()
    told = " ".join(found.problems)
    assert all(name in told for name in ("1-1: ", "1-3: ", "1-4: ", "1-5: ", "1-6: ", "1-7: ")) and "1-2: " not in told


def test_over_current() -> None:
    counts = {(p.hub, p.number): p.over_current_count for p in seen_in("over-current").ports}
    assert counts["1-1", 2] == 3 and counts["1-1", 3] == 1 and counts["usb1", 2] == 1 and counts["1-1", 1] == 0


def test_hostile_names_are_kept_as_they_are() -> None:
    found = seen_in("hostile")
    assert (one(found, "1-1").product or "").startswith("\x1b]0;owned")
    assert (one(found, "1-3").serial or "").startswith("camera\ndevices:")
    assert "�" in (one(found, "1-5").product or "")
    assert len(one(found, "1-6").product or "") == 314


def test_asleep() -> None:
    found = seen_in("asleep")
    assert (one(found, "1-1").sleep.control, one(found, "1-1").sleep.status) == ("auto", "suspended")
    assert (one(found, "1-2").devnum, one(found, "1-2").sleep.connected_ms) == (57, 61_000)


@pytest.mark.parametrize("name", sorted(MACHINES))
def test_a_built_tree_gives_the_same_scan(name: str, tmp_path: Path) -> None:
    """The reader under umockdev and on a plain folder: the same but for the time and the kernel."""
    built = scan(str(build(recording(name), tmp_path)))
    real = seen_in(name)
    assert (built.sightings, built.ports, built.controllers, built.serial_ports) == (
        real.sightings,
        real.ports,
        real.controllers,
        # A folder has no nodes.
        tuple(replace(port, group=None, mode=None, allowed=None) for port in real.serial_ports),
    )


def test_the_buffer_pool(tmp_path: Path) -> None:
    top = build(recording("empty"), tmp_path)
    (top / "module/usbcore/parameters").mkdir(parents=True)
    (top / "module/usbcore/parameters/usbfs_memory_mb").write_text("16\n")
    assert scan(str(top)).usbfs_memory_mb == 16


def test_a_blocking_attribute_is_left_out_and_the_rest_is_read(tmp_path: Path) -> None:
    """A pipe nobody writes to blocks as the device lock does."""
    top = build(recording("pier"), tmp_path)
    stuck = top / "bus/usb/devices/1-3.2/product"
    stuck.unlink()
    os.mkfifo(stuck)
    begin = time.monotonic()
    found = scan(str(top), timeout_s=0.2)
    assert time.monotonic() - begin < 10
    camera = one(found, "1-3.2")
    assert camera.product is None and camera.vendor_id == "f1a0" and camera.speed_mbit == 480
    assert one(found, "2-1.1").product == "Main 26M"
    assert any("1-3.2/product did not answer in time" in problem for problem in found.problems)


def test_an_attribute_that_never_answers_leaves_one_thread_behind_however_often_it_is_asked(tmp_path: Path) -> None:
    top = build(recording("pier"), tmp_path)
    stuck = top / "bus/usb/devices/1-3.2/product"
    stuck.unlink()
    os.mkfifo(stuck)
    before = threading.active_count()
    for _ in range(6):
        found = scan(str(top), timeout_s=0.6)
        assert any("1-3.2/product did not answer in time" in problem for problem in found.problems)
        assert one(found, "2-1.1").product == "Main 26M"
    deadline = time.monotonic() + 10  # the reader of the last look is on its way out
    while threading.active_count() > before + 1 and time.monotonic() < deadline:
        time.sleep(0.01)
    assert threading.active_count() == before + 1
    with stuck.open("w") as answer:  # it comes back at last
        answer.write("Late 12M\n")
    deadline = time.monotonic() + 10
    while threading.active_count() > before and time.monotonic() < deadline:
        time.sleep(0.01)
    assert threading.active_count() == before
    stuck.unlink()
    stuck.write_text("Late 12M\n")
    found = scan(str(top), timeout_s=5)
    assert one(found, "1-3.2").product == "Late 12M" and not any("in time" in problem for problem in found.problems)


def test_many_blocking_devices_take_a_bounded_time(tmp_path: Path) -> None:
    top = build(recording("crowd"), tmp_path)
    for device in sorted((top / "bus/usb/devices").iterdir()):
        if (device / "descriptors").exists():
            (device / "descriptors").unlink()
            os.mkfifo(device / "descriptors")
    begin = time.monotonic()
    found = scan(str(top), timeout_s=0.5)
    assert time.monotonic() - begin < 25  # without the limit for all together: 31 devices x 0.5 s x 8 attributes
    assert len(found.sightings) == 31 and len(found.problems) == 31


def test_a_device_that_vanishes_between_two_reads(tmp_path: Path) -> None:
    """Devices come and go while scans run: each scan is whole, and none fails."""
    top = build(recording("crowd"), tmp_path)
    ending = threading.Event()

    def churn() -> None:
        while not ending.is_set():
            taken = unplug(top, ["1-2", "1-3.4"])
            for name, target in taken.items():
                (top / "bus/usb/devices" / name).symlink_to(target)

    thread = threading.Thread(target=churn)
    thread.start()
    try:
        for _ in range(15):
            found = scan(str(top))
            assert all(s.devnum is not None for s in found.sightings)
            loads_again(found)
            pulse(str(top))
    finally:
        ending.set()
        thread.join()


def loads_again(found: Scan) -> None:
    """A scan that lost a hub in the middle still saves and loads."""
    from topo.live.store import dumps

    assert loads(dumps(found)) == found


def test_an_attribute_nobody_may_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    top = build(recording("pier"), tmp_path)
    real_open = os.open

    def refusing(path: str, flags: int, *rest: int) -> int:
        if str(path).endswith("/serial"):
            raise PermissionError(13, "Permission denied")
        return real_open(path, flags, *rest)

    monkeypatch.setattr("topo.live.attributes.os.open", refusing)
    found = scan(str(top))
    assert one(found, "2-1.1").serial is None and one(found, "2-1.1").product == "Main 26M"
    assert any("no permission to read" in problem and "more" in problem for problem in found.problems)


def test_a_folder_nobody_may_list_is_an_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refusing(path: str) -> object:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("topo.live.attributes.os.scandir", refusing)
    with pytest.raises(ScanError, match="cannot be listed: permission denied"):
        scan(str(build(recording("pier"), tmp_path)))


def test_no_sysfs_at_all_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(ScanError, match="keeps no sysfs"):
        scan(str(tmp_path / "nothing"))


def test_no_usb_at_all_is_an_empty_list(tmp_path: Path) -> None:
    found = scan(str(tmp_path))
    assert found.sightings == () and found.problems == ("this machine shows no USB devices (none in /sys/bus/usb)",)


def test_only_listed_attributes_can_be_read() -> None:
    attributes = Attributes("/nowhere")
    for path in ("bus/usb/devices/1-1:1.0/1-1-port1/disable", "x/current_link_speed", "x/power/level", "x/authorized"):
        with pytest.raises(AssertionError, match="not on the list"):
            attributes.read([path])


def test_a_pulse_tells_what_a_scan_tells(tmp_path: Path) -> None:
    from topo.live.changes import pulse_of

    for name in sorted(MACHINES):
        top = build(recording(name), tmp_path / name)
        assert pulse(str(top)) == pulse_of(scan(str(top)))


@pytest.mark.parametrize(("flag", "wanted"), [("1", True), ("0", False), (None, None)])
def test_a_boards_own_flag(tmp_path: Path, flag: str | None, wanted: bool | None) -> None:
    """As the kernel lays it out; another sensor's alarm is another thing."""
    from topo.live.attributes import Attributes
    from topo.live.board import low_volts

    for sensor, name in (("hwmon0", "cpu_thermal"), ("hwmon1", "rpi_volt")):
        folder = tmp_path / "class/hwmon" / sensor
        folder.mkdir(parents=True)
        (folder / "name").write_text(name + "\n")
        if flag is not None or sensor == "hwmon0":
            (folder / "in0_lcrit_alarm").write_text(f"{flag if sensor == 'hwmon1' else 1}\n")
    attributes = Attributes(str(tmp_path))
    assert low_volts(attributes) is wanted
    attributes.close()


def test_a_watch_notes_when_the_flag_comes_up_and_not_that_it_stays() -> None:
    from topo.live.changes import changed
    from topo.model.sighting import Pulse

    clear, up = Pulse((), low_volts=False), Pulse((), low_volts=True)
    assert changed(clear, up).low_volts and changed(clear, up).any
    assert not changed(up, up).any and not changed(Pulse(()), up).any and not changed(up, clear).any
