"""Large rigs: a terminal is told how far it is, a file or pipe is not, and Ctrl-C ends every command soon."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.shell import ROOT, environment

SOON_S = 5.0
"""On an idle machine it is a fifth of a second; the tests of a whole suite run beside this one."""


def large(parts: int) -> str:
    """A rig of so many parts on hubs below hubs, with cameras among them."""
    hubs = parts // 8
    lines = ["rig: Long wall", "computer: {profile: mini-pc-4usb3-2usb2}", "hubs:"]
    for n in range(hubs):
        above = f"computer/usb3-{n + 1}" if n < 4 else f"h{(n - 4) // 5}/{(n - 4) % 5 + 1}"
        lines.append(f"  h{n}: {{profile: hub-usb3-7port-powered, plug: {above}}}")
    lines.append("devices:")
    for n in range(parts - hubs):
        role, profile = {0: ("imaging", "camera-apsc-26mp"), 1: ("guiding", "camera-guide-1mp")}.get(
            n % 9, ("focuser", "focuser-hid"))
        lines.append(f"  d{n}: {{profile: {profile}, role: {role}, plug: h{n % hubs}/{6 + n // hubs % 2}}}")
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="module")
def rig(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("large") / "rig.yaml"
    path.write_text(large(400))
    return path


def until(stream: int, words: bytes, child: subprocess.Popen[bytes]) -> bytes:
    """What a terminal shows until these words come."""
    seen = b""
    deadline = time.monotonic() + 60
    while words not in seen and time.monotonic() < deadline and child.poll() is None:
        try:
            seen += os.read(stream, 4096)
        except OSError:
            break
    return seen


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="terminals of POSIX")
@pytest.mark.parametrize("command", [("check",), ("planb",), ("place", "focuser-hid"), ("report", "-o", "page.html")],
                         ids=lambda command: command[0])
def test_a_terminal_sees_progress_and_ctrl_c_ends_it_soon(command: tuple[str, ...], rig: Path, tmp_path: Path) -> None:
    name, *options = command
    ours, theirs = os.openpty()
    child = subprocess.Popen([sys.executable, "-m", "topo", name, str(rig), *options], stdout=subprocess.PIPE,
                             stderr=theirs, env=environment(), cwd=tmp_path)
    os.close(theirs)
    seen = until(ours, b"rigs computed", child)
    assert b"\rtopo: rigs computed " in seen and b"(Ctrl-C stops)" in seen
    began = time.monotonic()
    child.send_signal(signal.SIGINT)
    answer, _ = child.communicate(timeout=30)
    assert time.monotonic() - began < SOON_S
    rest = b""
    while chunk := _read(ours):
        rest += chunk
    os.close(ours)
    assert child.returncode == 130 and answer == b"" and rest.replace(b"\r\n", b"\n").endswith(b"stopped\n")
    assert not any(tmp_path.iterdir())


def _read(stream: int) -> bytes:
    try:
        return os.read(stream, 4096)
    except OSError:  # the other end is closed: that is how a terminal of Linux ends
        return b""


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
def test_no_progress_where_no_terminal_is(rig: Path) -> None:
    child = subprocess.Popen([sys.executable, "-m", "topo", "check", str(rig)], stdout=subprocess.PIPE,
                             stderr=subprocess.PIPE, env=environment(), cwd=ROOT)
    time.sleep(4)
    child.send_signal(signal.SIGINT)
    began = time.monotonic()
    out, err = child.communicate(timeout=30)
    assert time.monotonic() - began < SOON_S
    assert (child.returncode, out, err.strip()) == (130, b"", b"stopped")  # click ends the line of ^C first
