"""The scanner of macOS on recorded output: only the named command is started, and what it prints is read."""

from __future__ import annotations

import subprocess
from typing import Any

import pytest

from tests.live.listings.machines import MACHINES, MEADOW, PIER
from tests.live.listings.print_mac import registry_plist
from topo.errors import ScanError
from topo.live import macos
from topo.live.recording import read_scan


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Every command that is started; each prints the registry of the meadow."""
    commands: list[Any] = []

    def run(command: Any, **options: Any) -> subprocess.CompletedProcess[bytes]:
        commands.append(command)
        assert not options.get("shell") and options["stdin"] == subprocess.DEVNULL and options["timeout"] > 0
        return subprocess.CompletedProcess(command, 0, registry_plist(MEADOW).encode(), b"")

    def refuse(*_: Any, **__: Any) -> None:
        raise AssertionError("another way to start a program was used")

    monkeypatch.setattr(subprocess, "run", run)
    monkeypatch.setattr(subprocess, "Popen", refuse)
    monkeypatch.setattr("os.system", refuse)
    monkeypatch.setattr(macos, "pyserial_ports", lambda _: ((), ()))
    return commands


def test_only_the_named_command_is_started(started: list[Any]) -> None:
    found = macos.scan()
    assert started == [("/usr/sbin/ioreg", "-a", "-p", "IOUSB", "-l")]
    assert found.scanner == "ioreg" and found.system == "macos" and found.when


@pytest.mark.parametrize("machine", sorted(MACHINES))
def test_it_sees_what_the_listing_tells(machine: str) -> None:
    text = registry_plist(MACHINES[machine])
    found = macos.scan(lambda command: text.encode())
    assert found.sightings == read_scan(text).sightings and found.limits.serial_ports == "all"


@pytest.mark.parametrize(("status", "printed", "said"), [
    (1, b"", "failed with status 1"), (0, b"", "cut or damaged"), (0, b"<plist", "cut or damaged"),
])  # fmt: skip
def test_what_goes_wrong_is_a_scan_error(
    status: int, printed: bytes, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = subprocess.CompletedProcess(macos.COMMAND, status, printed, b"no \x1b[31m")
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: done)
    with pytest.raises(ScanError, match=said) as caught:
        macos.scan()
    assert "\x1b" not in str(caught.value)


def test_a_command_that_is_not_there_or_hangs_is_a_scan_error(monkeypatch: pytest.MonkeyPatch) -> None:
    for error in (FileNotFoundError(2, "No such file"), subprocess.TimeoutExpired("ioreg", 20)):

        def fail(*_: Any, error: Exception = error, **__: Any) -> None:
            raise error

        monkeypatch.setattr(subprocess, "run", fail)
        with pytest.raises(ScanError, match=r"cannot be started|did not end"):
            macos.scan()


def test_an_empty_registry_says_what_may_hide_it() -> None:
    empty = registry_plist(type(PIER)((type(PIER.controllers[0])("x", ("", ""), 2),)))
    assert any("sandbox" in problem for problem in macos.scan(lambda _: empty.encode()).problems)
