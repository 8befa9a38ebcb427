"""What a watch notes of ports that come back under other names, of parts that fall silent, and of a busy disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from topo.checks.scans import adapter, held, scan, seen, tty
from topo.live.beside import Beside
from topo.live.changes import pulse_of
from topo.live.notes import line_of
from topo.live.pressure import busy_words, pressure
from topo.live.recording import read_scan
from topo.live.watch import Clock, Watcher
from topo.model.scanner import Scanner
from topo.model.sighting import Scan
from topo.model.watchnote import Note, Pressure
from topo.pipeline import rig_of
from topo.rigfile.read import read_text
from topo.wiring.cycles import cycles_of

START = datetime(2026, 1, 31, 21, tzinfo=UTC)
HELD = held({"name": "/dev/ttyUSB0", "how": "open", "program": "planner", "gone": True})


class Scripted:
    """A watcher on scans that stand one after the other, a look each."""

    def __init__(self, *texts: str, cycles: dict[str, float] | None = None, every_s: float = 2.0,
                 pressing: Callable[[], Pressure | None] = lambda: None) -> None:
        self.scans: Iterator[Scan] = iter([read_scan(text) for text in texts])
        self.now: Scan | None = None
        self.seconds = 0.0
        self.every_s = every_s
        clock = Clock(lambda: START + timedelta(seconds=self.seconds), lambda: self.seconds)
        scanner = Scanner("scripted", "", (), lambda: self.now, self._pulse)  # type: ignore[arg-type, return-value]
        names = {"3-1": "mount", "3-2": "camera"}
        self.watcher = Watcher(scanner, every_s, lambda _: names, clock, cycles=cycles, pressure=pressing)

    def _pulse(self) -> Any:
        assert self.now is not None
        return pulse_of(self.now)

    def notes(self) -> list[Note]:
        """All notes after the first look."""
        found: list[Note] = []
        for scanned in self.scans:
            self.now = scanned
            found += [note for note in self.watcher.look() if note.kind not in ("start", "alive", "together")]
            self.seconds += self.every_s
        return found


def mount(number: int | None, devnum: int = 4, **more: Any) -> str:
    """The mount's adapter with its port, or with none yet."""
    ports = [] if number is None else [tty(number, "3-1", serial="A1")]
    return scan(adapter("3-1", devnum=devnum, serial="A1"), serial_ports=ports, **more)


def test_a_port_that_comes_back_under_another_number_and_who_holds_the_old_one() -> None:
    notes = Scripted(mount(0), scan(), mount(None, 5), mount(1, 5, holding=HELD), mount(1, 5)).notes()
    assert [note.kind for note in notes] == ["dropped", "returned", "port"]
    told = notes[-1]
    assert (told.name, told.ports_before, told.ports, told.held_by) == (
        "mount", ("/dev/ttyUSB0",), ("/dev/ttyUSB1",), ("planner",))
    assert "its port is /dev/ttyUSB1 now, before /dev/ttyUSB0" in told.text
    assert "planner still holds the old one: reconnect it" in told.text


def test_the_same_number_again_is_no_note() -> None:
    assert [n.kind for n in Scripted(mount(0), scan(), mount(0, 5), mount(0, 5)).notes()] == ["dropped", "returned"]


def test_a_port_that_does_not_come_back_is_told_after_a_while() -> None:
    notes = Scripted(mount(0), scan(), *[mount(None, 5)] * 8).notes()
    assert [note.kind for note in notes] == ["dropped", "returned", "port"]
    assert "did not come back" in notes[-1].text and notes[-1].ports == ()


def test_renewed_between_two_looks() -> None:
    notes = Scripted(mount(0), mount(1, 5)).notes()
    assert [note.kind for note in notes] == ["dropped", "returned", "port"] and notes[-1].ports == ("/dev/ttyUSB1",)


def camera(urbs: int, devnum: int = 4) -> str:
    return scan(seen("3-2", devnum=devnum, urbs=urbs))


def test_a_part_that_is_there_and_moves_nothing_for_three_cycles() -> None:
    """Moves, then stands still: told once after three cycles of 4 s, and again when it moves."""
    counts = [10, 20, 30, *[30] * 8, 31, 32]
    notes = Scripted(*map(camera, counts), cycles={"camera": 4.0}).notes()
    assert [(note.kind, note.seconds, note.name) for note in notes] == [
        ("silent", 12.0, "camera"), ("moves", 18.0, "camera")]
    assert "is there but has moved nothing for 12 s" in notes[0].text


@pytest.mark.parametrize(("counts", "cycles"), [
    ([10] * 30, {"camera": 4.0}),  # no program uses it
    ([10, 20, *[20] * 30], {}),  # nobody said how often it moves
    ([10, 20, *[20] * 30], {"camera": 300.0}),  # a long exposure
    (list(range(30)), {"camera": 1.0}),
])
def test_what_is_no_silence(counts: list[int], cycles: dict[str, float]) -> None:
    assert Scripted(*map(camera, counts), cycles=cycles).notes() == []


def test_after_a_drop_the_count_begins_anew() -> None:
    texts = [camera(10), camera(20), scan(), camera(3, 5), *[camera(3, 5)] * 12]
    assert [n.kind for n in Scripted(*texts, cycles={"camera": 2.0}).notes()] == ["dropped", "returned"]


def test_cycles_of_a_rig() -> None:
    text = """\
rig: x
computer: {os: linux}
devices:
  camera: {role: guiding, width_px: 100, height_px: 100, plug: computer/usb2-1, use: {exposure_s: 2, gap_s: 0.5}}
  adapter: {interface: serial, serial_sockets: 2, plug: computer/usb2-2}
  mount: {role: mount, plug: adapter/serial-1, serial: {baud: 9600, polls_per_s: 2, bytes_in: 5}}
  focuser: {role: focuser, plug: adapter/serial-2, serial: {baud: 9600, polls_per_s: 0.1, bytes_in: 5}}
  wheel: {role: filter-wheel, interface: hid, plug: computer/usb2-3}
"""
    assert dict(cycles_of(rig_of(read_text(text, "rig.yaml")))) == {"camera": 2.5, "adapter": 0.5}


def test_a_busy_disk_is_told_with_the_event_and_each_minute() -> None:
    busy = Pressure(1.0, 43.0, 0.0)
    script = Scripted(mount(0), scan(), mount(0, 5), pressing=lambda: busy)
    dropped, returned = script.notes()
    assert dropped.pressure == busy == returned.pressure
    assert dropped.text.endswith("; programs waited in the last 10 s for the disk 43 % of the time")
    assert '"pressure": {"cpu": 1.0, "io": 43.0, "memory": 0.0}' in line_of(dropped)
    script = Scripted(*[mount(0)] * 40, pressing=lambda: busy)
    script.now = None
    every = []
    for scanned in script.scans:
        script.now = scanned
        every += list(script.watcher.look())
        script.seconds += 2.0
    assert [note.kind for note in every] == ["start", "alive"] and all(note.pressure == busy for note in every)


@pytest.mark.parametrize(("text", "io"), [
    ("some avg10=12.34 avg60=1.00 avg300=0.00 total=12\nfull avg10=9.00 avg60=0.00 avg300=0.00 total=1\n", 12.34),
    ("", None), ("some avg10=x", None), ("full avg10=9.00", None), ("some avg10=999.0", 100.0),
])
def test_the_kernel_s_pressure(tmp_path: Path, text: str, io: float | None) -> None:
    (tmp_path / "proc/pressure").mkdir(parents=True)
    (tmp_path / "proc/pressure/io").write_text(text)
    found = pressure(Beside(str(tmp_path / "sys")))
    assert (found.io if found is not None else None) == io
    assert busy_words(Pressure(io=5.0)) == "" == busy_words(None)
