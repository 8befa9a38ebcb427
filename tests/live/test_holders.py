"""Who holds a port: made-up process lists, and real locks on a pty held by a child of another user."""

from __future__ import annotations

import fcntl
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from tests.live.machine import Adapter, FakeMachine
from topo.live import holders
from topo.live.beside import Beside
from topo.live.sysfs import scan
from topo.model.sighting import Holder, Holding


def held(machine: FakeMachine) -> Holding:
    found = scan(machine.sys).holding
    assert found is not None
    return found


def test_open_files_are_told_by_the_short_name_alone(tmp_path: Path) -> None:
    machine = FakeMachine(tmp_path)
    machine.plug(Adapter("1-1"), Adapter("1-2", "ttyUSB1", minor=1))
    machine.process(100, "planner", "/dev/ttyUSB0", "/home/somebody/secret", "/dev/null", "socket:[1]")
    machine.write("proc/100/cmdline", "planner\0--password\0secret")
    machine.process(101, "other", "/dev/ttyUSB7 (deleted)")
    machine.process(102, "camera", "/dev/bus/usb/001/004")
    assert held(machine).holders == (
        Holder("/dev/bus/usb/001/004", "open", "camera", 102),
        Holder("/dev/ttyUSB0", "open", "planner", 100),
        Holder("/dev/ttyUSB7", "open", "other", 101, gone=True),
    )


def test_services_that_probe_are_known_by_their_names(tmp_path: Path) -> None:
    machine = FakeMachine(tmp_path)
    machine.process(7, holders.SERVICES[0])
    machine.process(8, "planner")
    assert held(machine).services == (holders.SERVICES[0],)


def test_lock_files_of_programs_that_run_and_that_ended(tmp_path: Path) -> None:
    machine = FakeMachine(tmp_path)
    machine.plug(Adapter("1-1"), Adapter("1-2", "ttyUSB1", minor=1))
    machine.process(55, "planner")
    machine.write("run/lock/LCK..ttyUSB0", "        55\n")
    machine.write("run/lock/LCK..ttyUSB1", "      4000\n")
    machine.write("run/lock/LCK..ttyUSB9", "        55\n")
    machine.write("run/lock/LCK..", "x")
    assert held(machine).holders == (
        Holder("/dev/ttyUSB0", "lock-file", "planner", 55), Holder("/dev/ttyUSB1", "lock-file", None, 4000, gone=True))


def test_where_nobody_else_s_files_may_be_read_that_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    machine = FakeMachine(tmp_path)
    machine.process(100, "mine")
    machine.process(200, "theirs")
    names = Beside.names
    monkeypatch.setattr(Beside, "names", lambda self, f: None if f == "proc/200/fd" else names(self, f))
    assert held(machine).everyone is False
    monkeypatch.setattr(Beside, "names", names)
    assert held(machine).everyone is True


def test_a_program_that_ends_while_it_is_looked_at_is_no_reason_to_doubt(tmp_path: Path) -> None:
    machine = FakeMachine(tmp_path)
    (tmp_path / "proc/300").mkdir()
    assert held(machine).everyone is True


def test_it_ends_in_time_and_says_so(tmp_path: Path) -> None:
    machine = FakeMachine(tmp_path)
    for number in range(1, 50):
        machine.process(number, f"p{number}")
    found = holders.holding(Beside(machine.sys), [], time_s=-1)
    assert found is not None and found.whole is False


@pytest.mark.parametrize("text", ["", "1: nonsense", "1: FLOCK  ADVISORY  WRITE x 00:05:1 0 EOF", "\udcff" * 9,
                                  "9999999999999999: FLOCK ADVISORY WRITE 1 zz:05:1 0 EOF", "1: -> FLOCK" * 1000])
def test_spoilt_lists_of_locks(tmp_path: Path, text: str) -> None:
    machine = FakeMachine(tmp_path)
    machine.plug(Adapter("1-1"))
    (tmp_path / "proc/locks").write_bytes(text.encode("utf-8", "surrogateescape"))
    assert held(machine).holders == ()


@pytest.fixture
def terminal() -> object:
    """The name of a pty whose other end stays open."""
    main, other = pty.openpty()
    yield os.ttyname(other)
    os.close(main)
    os.close(other)


CHILD = """
import fcntl, os, sys
if len(sys.argv) > 2:
    os.setgid(65534); os.setuid(65534)
f = os.open(sys.argv[1], os.O_RDWR | os.O_NOCTTY)
fcntl.flock(f, fcntl.LOCK_EX)
print("locked", flush=True)
sys.stdin.read()
"""


@pytest.mark.parametrize("stranger", [False, True])
def test_a_real_lock_on_a_real_terminal(terminal: str, stranger: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """The kernel's own /proc: the lock is seen by device and inode, and the holder's short name, of anybody."""
    if stranger and os.geteuid() != 0:
        pytest.skip("only root can start a program of another user")
    if stranger:
        Path(terminal).chmod(0o666)
    more = ["other"] if stranger else []
    with subprocess.Popen([sys.executable, "-c", CHILD, terminal, *more], stdin=subprocess.PIPE,
                          stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None and child.stdout.readline() == "locked\n"
        monkeypatch.setattr(holders, "HELD", holders.re.compile(r"(/dev/pts/[0-9]+)( \(deleted\))?()"))
        found = holders.holding(Beside("/sys"), [terminal])
        assert found is not None
        locks = [h for h in found.holders if h.name == terminal and h.how == "lock"]
        child.communicate("")
    assert [(h.process, h.program is not None) for h in locks] == [(child.pid, True)]


def test_a_lock_that_is_let_go_is_gone(terminal: str) -> None:
    file = os.open(terminal, os.O_RDWR | os.O_NOCTTY)
    try:
        fcntl.flock(file, fcntl.LOCK_EX)
        found = holders.holding(Beside("/sys"), [terminal])
        assert found is not None and any(h.how == "lock" and h.process == os.getpid() for h in found.holders)
        fcntl.flock(file, fcntl.LOCK_UN)
        found = holders.holding(Beside("/sys"), [terminal])
        assert found is not None and not [h for h in found.holders if h.how == "lock" and h.name == terminal]
    finally:
        os.close(file)
