"""The night watch: what it notes of drops, returns, speeds and over-current, with a clock made here."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from tests.live.tools import build, plug_in, recording, topo_under, unplug
from topo.analysis.study import Study
from topo.errors import ScanError
from topo.live import sysfs
from topo.live.draft import draft
from topo.live.meanwhile import LastSeen, last_seen, meanwhile
from topo.live.notes import read_watch
from topo.live.recording import recording as replaying
from topo.live.roll import Roll, roll_of
from topo.live.scanners import sysfs_scanner
from topo.live.store import save
from topo.live.watch import Clock, Watcher, watch
from topo.model.scanner import Scanner
from topo.model.sighting import Scan
from topo.model.watchnote import Note
from topo.pipeline import rig_of
from topo.rigfile.read import read_text

START = datetime(2025, 11, 25, 23, 59, 50, tzinfo=timezone(timedelta(hours=1)))


class Night:
    """A watcher on a sysfs tree that the test changes, with a clock that goes only when told."""

    def __init__(self, name: str, folder: Path, names: dict[str, str] | None = None, pulses: bool = True) -> None:
        self.top = build(recording(name), folder)
        self.seconds = 0.0
        self.slept = 0.0
        self.scans = 0
        clock = Clock(lambda: START + timedelta(seconds=self.seconds + self.slept), lambda: 1000 + self.seconds)
        real = sysfs_scanner(str(self.top))
        scanner = Scanner(
            real.name, real.summary, real.systems, lambda: self._scan(real), real.pulse if pulses else None
        )
        self.watcher = Watcher(scanner, 2.0, lambda scan: names or {}, clock)
        (self.first,) = self.look()

    def _scan(self, real: Scanner) -> Scan:
        self.scans += 1
        return real.scan()

    def look(self, after_s: float = 2.0) -> list[Note]:
        self.seconds += after_s
        return list(self.watcher.look())

    def put(self, device: str, **attributes: str) -> None:
        for name, value in attributes.items():
            (self.top / "bus/usb/devices" / device / name.replace("__", "/")).write_text(f"{value}\n")

    def port(self, hub: str, number: int, count: int) -> None:
        bus, _, chain = hub.removeprefix("usb").partition("-")
        path = self.top / "bus/usb/devices" / f"{bus}-{chain or 0}:1.0" / f"{hub}-port{number}" / "over_current_count"
        path.write_text(f"{count}\n")


@pytest.fixture
def pier(tmp_path: Path) -> Iterator[Night]:
    yield Night(
        "pier", tmp_path, {"2-1.1": "main-camera", "1-3.2": "guide-camera", "1-3": "pier-hub", "2-1": "pier-hub"}
    )


def kinds(notes: list[Note]) -> list[str]:
    return [note.kind for note in notes]


def test_it_starts_with_what_is_there(pier: Night) -> None:
    note = pier.first
    assert (note.kind, note.format, note.every_s, note.scanner) == ("start", "topo.watch.1", 2.0, "sysfs")
    assert note.at == "2025-11-25T23:59:52.000+01:00" and note.monotonic_s == 1002
    assert [(d.device, d.name, d.devnum) for d in note.devices if d.name] == [
        ("1-3", "pier-hub", 2),
        ("1-3.2", "guide-camera", 4),
        ("2-1", "pier-hub", 2),
        ("2-1.1", "main-camera", 3),
    ]


def test_nothing_happens_and_only_pulses_are_read(pier: Night) -> None:
    assert [pier.look() for _ in range(5)] == [[]] * 5
    assert pier.scans == 1


def test_a_drop_and_a_return(pier: Night) -> None:
    taken = unplug(pier.top, ["1-3.2"])
    (dropped,) = pier.look()
    assert (dropped.kind, dropped.device, dropped.name, dropped.devnum) == ("dropped", "1-3.2", "guide-camera", 4)
    assert dropped.at.endswith("+01:00") and dropped.text == "guide-camera (1-3.2) dropped"
    assert pier.look() == []
    plug_in(pier.top, taken)
    pier.put("1-3.2", devnum="9")
    (back,) = pier.look()
    assert (back.kind, back.came_as, back.devnum_before, back.devnum, back.away_s) == ("returned", "same", 4, 9, 4.0)


def test_a_device_that_came_back_between_two_looks(pier: Night) -> None:
    pier.put("1-3.2", devnum="9")
    dropped, back = pier.look()
    assert kinds([dropped, back]) == ["dropped", "returned"] and back.away_s == 0 and back.came_as == "same"


def test_a_connected_time_that_goes_back_is_a_return_too(pier: Night) -> None:
    pier.put("1-3.2", power__connected_duration="1500")
    assert kinds(pier.look()) == ["dropped", "returned"]


def test_the_hub_is_what_all_that_dropped_have_in_common(pier: Night) -> None:
    """Both sides of the hub with everything behind: the box that dropped itself is named, not the computer."""
    unplug(pier.top, ["1-3", "2-1"])
    assert kinds(pier.look()) == ["dropped"] * 6
    (note,) = pier.look()
    assert (note.kind, note.common, note.common_name) == ("together", ("1-3", "2-1"), "pier-hub")
    assert set(note.together) == {"1-3", "1-3.2", "1-3.3", "1-3.4", "2-1", "2-1.1"}
    assert "which dropped itself" in note.text and "guide-camera" in note.text


def test_devices_on_the_two_sides_share_the_hub(pier: Night) -> None:
    """One device on the SuperSpeed side and one on the USB 2 side: the joined hub is above both."""
    unplug(pier.top, ["1-3.3", "2-1.1"])
    pier.look()
    (note,) = pier.look()
    assert note.common == ("1-3", "2-1") and "dropped itself" not in note.text


def test_drops_more_than_two_seconds_apart_are_two_events(pier: Night) -> None:
    unplug(pier.top, ["1-3.3"])
    pier.look()
    unplug(pier.top, ["1-3.2"])
    assert kinds(pier.look()) == ["dropped"] and pier.look() == []


def test_drops_within_two_seconds_seen_by_quick_looks(pier: Night) -> None:
    unplug(pier.top, ["1-3.3"])
    pier.look(0.5)
    unplug(pier.top, ["1-3.2"])
    pier.look(0.5)
    assert pier.look(0.5) == []
    (note,) = pier.look(1.1)
    assert note.together == ("1-3.3", "1-3.2")


def test_the_last_drops_are_put_together_when_the_watch_ends(pier: Night) -> None:
    unplug(pier.top, ["1-3.3", "1-3.2"])
    pier.look()
    assert kinds(list(pier.watcher.stop())) == ["together", "stop"]


def test_something_else_at_its_place(pier: Night) -> None:
    taken = unplug(pier.top, ["1-3.2"])
    pier.look()
    plug_in(pier.top, taken)
    pier.put("1-3.2", idVendor="0000", idProduct="0002", devnum="12")
    (pier.top / "bus/usb/devices/1-3.2/serial").unlink()
    (back,) = pier.look()
    assert (back.kind, back.came_as, back.name, back.product_id) == ("returned", "unknown", "guide-camera", "0002")


def test_a_camera_that_comes_back_on_the_slow_side(pier: Night) -> None:
    """The same identity at the USB 2 side of the socket, at 480 Mb/s: a return elsewhere, and a speed change."""
    taken = unplug(pier.top, ["2-1.1"])
    pier.look()
    (device, target) = next((name, link) for name, link in taken.items() if ":" not in name)
    old = (pier.top / "bus/usb/devices" / target).resolve()
    new = old.parent.parent.parent / "usb1/1-3/1-3.1"
    shutil.copytree(old, new, symlinks=True)
    (pier.top / "bus/usb/devices/1-3.1").symlink_to(new)
    pier.put("1-3.1", speed="480", devnum="14")
    assert device == "2-1.1"
    back, speed = pier.look()
    assert (back.kind, back.came_as, back.place_before, back.name) == ("returned", "elsewhere", "2-1.1", "main-camera")
    assert (speed.kind, speed.speed_before_mbit, speed.speed_mbit) == ("speed", 5000, 480)


def test_a_serial_number_that_could_not_be_read_is_no_other_device(pier: Night) -> None:
    taken = unplug(pier.top, ["1-3.2"])
    pier.look()
    plug_in(pier.top, taken)
    (pier.top / "bus/usb/devices/1-3.2/serial").unlink()
    assert pier.look()[0].came_as == "same"


def test_something_new(pier: Night) -> None:
    taken = unplug(pier.top, ["1-3.4"])
    fresh = Night.__new__(Night)
    fresh.__dict__ |= pier.__dict__
    fresh.watcher = Watcher(sysfs_scanner(str(pier.top)), 2.0, lambda scan: {}, pier.watcher._clock)
    fresh.look()
    plug_in(pier.top, taken)
    (note,) = fresh.look()
    assert (note.kind, note.device, note.speed_mbit) == ("appeared", "1-3.4", 12)


def test_twins_come_back_at_their_own_places(tmp_path: Path) -> None:
    night = Night("twins", tmp_path)
    taken = unplug(night.top, ["1-1", "1-2"])
    assert kinds(night.look()) == ["dropped", "dropped"]
    plug_in(night.top, taken)
    notes = night.look()
    assert [(n.kind, n.device, n.came_as) for n in notes] == [
        ("together", None, None),
        ("returned", "1-1", "same"),
        ("returned", "1-2", "same"),
    ]
    assert notes[0].common == ("usb1",)


def test_over_current(pier: Night) -> None:
    pier.port("1-3", 2, 2)
    (note,) = pier.look()
    assert (note.kind, note.hub, note.port, note.count_before, note.count) == ("over-current", "1-3", 2, 0, 2)
    assert (note.device, note.name) == ("1-3.2", "guide-camera") and "pier-hub" in note.text


def test_a_speed_that_changes_in_place(pier: Night) -> None:
    pier.put("2-1.1", speed="480")
    (note,) = pier.look()
    assert (note.kind, note.speed_before_mbit, note.speed_mbit) == ("speed", 5000, 480)


def test_looks_that_fail_are_noted_once_and_the_watch_goes_on(pier: Night) -> None:
    hidden = pier.top.rename(pier.top.with_name("hidden"))
    (note,) = pier.look()
    assert note.kind == "scan-failed" and "keeps no sysfs" in note.text
    assert pier.look() == []
    hidden.rename(pier.top)
    assert kinds(pier.look()) == ["scan-works"]


def test_a_computer_that_slept_and_a_look_that_was_late(pier: Night) -> None:
    pier.slept = 3600
    (note,) = pier.look()
    assert (note.kind, note.seconds) == ("clock", 3600)
    (note,) = pier.look(30)
    assert (note.kind, note.seconds) == ("gap", 30)


def test_it_says_every_minute_that_it_is_alive(pier: Night) -> None:
    notes = [note for _ in range(60) for note in pier.look()]
    assert kinds(notes) == ["alive", "alive"] and notes[0].count == 8


def test_a_scanner_without_a_cheaper_look(tmp_path: Path) -> None:
    night = Night("pier", tmp_path, pulses=False)
    assert night.look() == []
    unplug(night.top, ["1-3.2"])
    assert kinds(night.look()) == ["dropped"]


def test_a_recording_can_be_watched(tmp_path: Path) -> None:
    save(sysfs.scan(str(build(recording("pier"), tmp_path))), tmp_path / "scan.json")
    notes: list[Note] = []
    watch(replaying(tmp_path / "scan.json"), notes.append, 0.01, looks=3)
    assert kinds(notes) == ["start", "stop"]


def test_a_first_look_that_fails_is_noted() -> None:
    def failing() -> Scan:
        raise ScanError("nothing to see")

    notes: list[Note] = []
    watch(Scanner("x", "", (), failing), notes.append, 0.01, looks=2)
    assert kinds(notes) == ["scan-failed", "stop"]


RIG = """\
rig: A trial
computer: {controllers: {one: {}}, ports: {usb3-1: {controller: one, speed: super}}}
hubs:
  pier-hub: {speed: super, ports: 4, plug: computer/usb3-1}
devices:
  main-camera: {role: imaging, width_px: 6248, height_px: 4176, speed: super, plug: pier-hub/1}
  guide-camera: {role: guiding, width_px: 1280, height_px: 960, speed: high, plug: pier-hub/2}
  wheel: {role: filter-wheel, interface: hid, plug: pier-hub/3}
  dew: {role: dew, interface: none}
"""


def call_of(rig: str) -> Callable[[Scan], Roll]:
    study = Study(rig_of(read_text(rig, "rig.yaml")))
    return lambda scan: roll_of(study, scan)


def beginning(scanner: Scanner, rig: str, before: LastSeen | None = None, seconds: float = 0.0) -> list[Note]:
    """The notes of a first look, so long after the usual start."""
    clock = Clock(lambda: START + timedelta(seconds=seconds), lambda: 1000 + seconds)
    return list(Watcher(scanner, 2.0, lambda scan: {}, clock, call_of(rig), before).look())


def test_parts_without_ids_have_names_and_those_that_are_absent_are_told(pier: Night) -> None:
    start, absent = beginning(sysfs_scanner(str(pier.top)), RIG)
    assert {d.device: d.name for d in start.devices if d.name} == {
        "1-3": "pier-hub", "2-1": "pier-hub", "2-1.1": "main-camera", "1-3.2": "guide-camera"}
    assert (absent.kind, absent.parts) == ("absent", ("wheel",)) and "not found: wheel" in absent.text


def test_twins_are_named_by_their_sockets(tmp_path: Path) -> None:
    night = Night("twins", tmp_path)
    drafted = draft(sysfs.scan(str(night.top)))
    start, *twins = beginning(sysfs_scanner(str(night.top)), drafted)
    assert all(device.name for device in start.devices if not device.device.startswith("usb"))
    told = [note.parts for note in twins if note.kind == "twins"]
    assert told == [("serial-1", "serial-2"), ("device-1", "device-2")]


def test_a_watch_that_begins_again_tells_what_changed_meanwhile(pier: Night) -> None:
    notes = beginning(sysfs_scanner(str(pier.top)), RIG)
    before = last_seen(notes)
    unplug(pier.top, ["1-3.2"])
    pier.put("2-1.1", speed="480", devnum="9")
    later = [n for n in beginning(sysfs_scanner(str(pier.top)), RIG, before, 60) if n.kind == "meanwhile"]
    assert [(n.device, n.name) for n in later] == [("2-1.1", "main-camera"), ("1-3.2", "guide-camera")]
    assert "left and came back and runs at 480 Mb/s, before at 5000 Mb/s since 23:59:50" in later[0].text
    assert "guide-camera (1-3.2) is gone since" in later[1].text
    assert not [n for n in beginning(sysfs_scanner(str(pier.top)), RIG, last_seen(
        beginning(sysfs_scanner(str(pier.top)), RIG)), 60) if n.kind == "meanwhile"]


def test_after_a_new_start_of_the_computer_numbers_tell_nothing(pier: Night) -> None:
    before = last_seen(beginning(sysfs_scanner(str(pier.top)), RIG, seconds=5000))
    pier.put("2-1.1", devnum="9")
    later = [n.text for n in beginning(sysfs_scanner(str(pier.top)), RIG, before, 10) if n.kind == "meanwhile"]
    assert len(later) == 1 and later[0].startswith("the computer started again")


def test_what_moved_meanwhile_is_one_note(pier: Night) -> None:
    before = last_seen(beginning(sysfs_scanner(str(pier.top)), RIG))
    scan = sysfs.scan(str(pier.top))
    own = scan.sighting("1-3.2")
    assert own is not None and before is not None
    there = replace(own, id="1-4", ports=(4,), parent="usb1")
    moved = replace(scan, sightings=tuple(there if s is own else s for s in scan.sightings))
    assert [(m.device, m.words) for m in meanwhile(before, moved, False)] == [("1-3.2", "is now at 1-4")]


def test_by_hand_a_second_watch_on_one_log(tmp_path: Path) -> None:
    """As a person starts it twice: the second one names who is absent and what is gone since."""
    rig, log = tmp_path / "rig.yaml", tmp_path / "night.jsonl"
    rig.write_text(RIG, encoding="utf-8")
    for name in ("pier", "empty"):
        done = topo_under(recording(name), "watch", str(rig), "--log", str(log), "--looks", "1")
        assert done.returncode == 0, done.stderr
    kinds_of = [note.kind for note in read_watch(log).notes]
    assert kinds_of.count("start") == 2 and kinds_of.count("absent") == 2
    gone = [note.name for note in read_watch(log).notes if note.kind == "meanwhile" and " is gone since" in note.text]
    assert {"pier-hub", "main-camera", "guide-camera"} <= set(gone)
