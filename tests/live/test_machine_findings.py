"""From folders like those of a machine to findings: names, holders and rights, each caught and each left alone."""

from __future__ import annotations

import os
from collections.abc import Callable
from itertools import permutations
from pathlib import Path

import pytest

from tests.compare.pieces import COMPUTER, study_of
from tests.live.machine import Adapter, FakeMachine
from topo.live.sysfs import scan
from topo.model.finding import Finding
from topo.pipeline import compare_study
from topo.report.compared import ComparisonReport

IDS = "identity: {vendor_id: f1d0, product_id: '6001'%s}"
RIG = COMPUTER.replace("usb3-1: {", "usb3-1: {at: 1/1, ").replace("usb3-2: {", "usb3-2: {at: 1/2, ") + f"""\
devices:
  mount: {{role: mount, interface: serial, plug: computer/usb3-1, opens: /dev/ttyUSB0, {IDS % ", serial: A1"}}}
  focuser: {{role: focuser, interface: serial, plug: computer/usb3-2, opens: /dev/ttyUSB1, {IDS % ", serial: A2"}}}
"""
MOUNT, FOCUSER = Adapter("1-1", serial="A1"), Adapter("1-2", "ttyUSB1", serial="A2", minor=1)
QUIET = ("part-", "port-", "no-serial-port", "replaced-by", "names-collide", "may-be-probed", "not-allowed",
         "told-apart", "power-setting")


def compared(machine: FakeMachine, rig: str = RIG) -> ComparisonReport:
    return compare_study(study_of(rig), scan(machine.sys))


def told(machine: FakeMachine, rig: str = RIG) -> dict[str, Finding]:
    """Findings about names by their name; none twice here."""
    return {f.name: f for f in compared(machine, rig).report.findings if f.name.startswith(QUIET)}


@pytest.fixture
def machine(tmp_path: Path) -> FakeMachine:
    return FakeMachine(tmp_path)


def test_all_as_it_should_be(machine: FakeMachine) -> None:
    machine.plug(MOUNT, FOCUSER)
    machine.process(50, "planner", "/dev/null")
    assert told(machine) == {}


Spoil = Callable[[FakeMachine], None]


def spoilt(machine: FakeMachine, *adapters: Adapter) -> None:
    machine.plug(*(adapters or (MOUNT, FOCUSER)))


CASES: dict[str, tuple[Spoil, dict[str, str]]] = {
    "a program has the port": (
        lambda m: (spoilt(m), m.process(50, "planner", "/dev/ttyUSB0"))[0], {"port-held": "mount"}),
    "two programs have it": (
        lambda m: (spoilt(m), m.process(50, "one", "/dev/ttyUSB1"), m.process(51, "two", "/dev/ttyUSB1"))[0],
        {"port-held": "focuser"}),
    "a lock file was left behind": (
        lambda m: (spoilt(m), m.write("run/lock/LCK..ttyUSB0", "   4711\n"))[0], {"port-held": "mount"}),  # type: ignore[func-returns-value]
    "a service that probes runs": (
        lambda m: (spoilt(m), m.process(9, "ModemManager"))[0], {"may-be-probed": "mount"}),
    "no driver took the mount": (
        lambda m: spoilt(m, Adapter("1-1", None, serial="A1", driver=None), FOCUSER),
        {"no-serial-port": "mount"}),
    "a program took the mount from its driver": (
        lambda m: (spoilt(m, Adapter("1-1", None, serial="A1", driver="usbfs"), FOCUSER),
                   m.process(9, "reader", "/dev/bus/usb/001/002"))[0], {"no-serial-port": "mount"}),
    "a twin in its place": (
        lambda m: spoilt(m, Adapter("1-1", serial="Z9"), FOCUSER), {"replaced-by-a-twin": "mount"}),
    "the next number": (
        lambda m: spoilt(m, Adapter("1-1", "ttyUSB2", serial="A1", minor=2), FOCUSER), {"port-name-changed": "mount"}),
    "a setting that is not heeded": (
        lambda m: (spoilt(m), m.write("etc/modprobe.d/usb.conf", "options usbcore autosuspend=-1\n"),
                   m.write("sys/module/usbcore/parameters/autosuspend", "2\n"))[0],  # type: ignore[func-returns-value]
        {"power-setting-not-in-force": "computer"}),
}


@pytest.mark.parametrize("case", CASES)
def test_each_trouble_is_told_alone_and_of_the_right_part(machine: FakeMachine, case: str) -> None:
    spoil, wanted = CASES[case]
    spoil(machine)
    found = told(machine)
    assert {name: finding.part for name, finding in found.items()} == wanted
    for finding in found.values():
        assert finding.refuted_by and finding.fix is not None and finding.fix.text


def test_who_took_it_is_named_by_the_short_name(machine: FakeMachine) -> None:
    CASES["a program took the mount from its driver"][0](machine)
    found = told(machine)["no-serial-port"]
    assert (found.severity, found.certainty) == ("fault", "certain") and "(reader)" in found.message


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="no users here")
def test_a_person_who_is_in_no_group(machine: FakeMachine, monkeypatch: pytest.MonkeyPatch) -> None:
    machine.plug(MOUNT, FOCUSER)
    for tty in ("ttyUSB0", "ttyUSB1"):
        (machine.top / "dev" / tty).chmod(0o660)
    monkeypatch.setattr(os, "geteuid", lambda: 4242)
    monkeypatch.setattr(os, "getegid", lambda: 4242)
    monkeypatch.setattr(os, "getgroups", list)
    found = told(machine)
    assert set(found) == {"not-allowed"} and found["not-allowed"].others == ("focuser",)


def test_twins_share_a_name_and_the_one_that_opens_it_is_a_fault(machine: FakeMachine) -> None:
    machine.plug(Adapter("1-1"), Adapter("1-2", "ttyUSB1", minor=1))
    shared = "/dev/serial/by-id/usb-Made_Up_Adapter-if00-port0"
    rig = RIG.replace(", serial: A1", "").replace(", serial: A2", "").replace("/dev/ttyUSB0", shared)
    found = told(machine, rig)
    assert set(found) == {"names-collide", "told-apart-by-socket"}
    assert (found["names-collide"].severity, found["names-collide"].part) == ("fault", "mount")


@pytest.mark.parametrize("order", list(permutations((0, 1))))
@pytest.mark.parametrize("swapped", [False, True])
@pytest.mark.parametrize("udev", [False, True])
def test_exchange_of_sockets_and_of_numbers(machine: FakeMachine, order: tuple[int, ...], swapped: bool,
                                            udev: bool) -> None:
    """The serial number decides who is who, whatever came up first, wherever it sits, with udev's data or without."""
    places = ("1-2", "1-1") if swapped else ("1-1", "1-2")
    machine.plug(*(Adapter(places[n], f"ttyUSB{order.index(n)}", serial=f"A{n + 1}", minor=order.index(n), udev=udev)
                   for n in (0, 1)))
    report = compared(machine)
    names = {match.part: match.own.serial for match in report.comparison.matches if match.own is not None}
    assert names == {"mount": "A1", "focuser": "A2"}
    changed = {f.part for f in report.report.findings if f.name == "port-name-changed"}
    assert changed == (set() if order == (0, 1) else {"mount", "focuser"})
    moved = {f.part for f in report.report.findings if f.name == "part-moved"}
    assert moved == ({"mount", "focuser"} if swapped else set())
