"""`topo live` and `topo watch` as a person runs them."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.live.recordings.make import MACHINES
from tests.live.tools import PROJECT, build, need, recording, topo_under
from topo.cli.main import status_of
from topo.live import sysfs
from topo.live.notes import read_watch
from topo.live.recording import replay as load
from topo.live.store import save
from topo.live.tree import tree_lines


def topo(*arguments: str, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "topo", *arguments],
        capture_output=True,
        text=True,
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(PROJECT), **environment},
        timeout=120,
        check=False,
    )


@pytest.fixture
def saved(tmp_path: Path) -> Path:
    path = tmp_path / "pier.json"
    assert topo_under(recording("pier"), "live", "--save", str(path)).returncode == 0
    return path


@pytest.mark.parametrize("name", sorted(MACHINES))
def test_the_tree_fits_eighty_columns_and_shows_nothing_raw(name: str) -> None:
    done = topo_under(recording(name), "live")
    assert (done.returncode, done.stderr) == (0, "")
    assert all(len(line) <= 80 for line in done.stdout.splitlines())
    assert not any(char in done.stdout for char in "\x1b\x07\r\u202e\u2066\u2028\ufeff\x85")


def test_the_tree_says_what_matters() -> None:
    assert "could do 5000 Mb/s, got 480" in topo_under(recording("fallback"), "live").stdout
    assert "port 2: over-current 3 times" in topo_under(recording("over-current"), "live").stdout
    assert "asleep now" in topo_under(recording("asleep"), "live").stdout
    pier = topo_under(recording("pier"), "live").stdout
    assert "1-3 + 2-1  480, 5000 Mb/s  hub of 4, a translator for each port" in pier
    assert "/dev/ttyUSB0  at 1-3.3, receive timer 16 ms" in pier


def test_a_saved_scan_replays_the_same(saved: Path, tmp_path: Path) -> None:
    again = topo("live", "--from", str(saved), "--save", "again.json", cwd=tmp_path)
    assert again.returncode == 0 and again.stdout == ""
    assert load(tmp_path / "again.json") == load(saved)
    told = json.loads(topo("live", "--from", str(saved), "--json", cwd=tmp_path).stdout)
    assert told["format"] == "topo.live.1" and told["scan"] == json.loads(saved.read_text())
    assert {"kind": "hub", "members": ["1-3", "2-1"], "joined_by": "container id"} in told["boxes"]


def test_a_draft_is_written_once(saved: Path, tmp_path: Path) -> None:
    assert topo("live", "--from", str(saved), "--draft", "rig.yaml", cwd=tmp_path).returncode == 0
    before = (tmp_path / "rig.yaml").read_text()
    again = topo("live", "--from", str(saved), "--draft", "rig.yaml", cwd=tmp_path)
    assert again.returncode == 2 and "never written over" in again.stderr
    assert (tmp_path / "rig.yaml").read_text() == before
    assert topo("check", "rig.yaml", cwd=tmp_path).returncode == 0


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        (("live", "--from", "none.json"), 3, "cannot be read"),
        (("live", "--from", "bad.json"), 3, "not a saved scan"),
        (("live", "--from", "words.txt"), 3, "neither a saved scan"),
        (("live", "--scanner", "x\x1b"), 3, "no scanner is called 'x\\x1b'; there are sysfs, ioreg, cfgmgr, libusb"),
        (("live", "--from", "bad.json", "--scanner", "sysfs"), 2, "use one of them"),
        (("live", "--save", "none/scan.json"), 2, "cannot be written"),
        (("watch", "none.yaml"), 2, "no such file"),
        (("watch", "rig.yaml", "--log", "words.txt", "--looks", "1"), 3, "is no watch log"),
        (("watch", "rig.yaml", "--every", "0"), 2, "--every"),
    ],
)
def test_what_goes_wrong_is_told_plainly(tmp_path: Path, arguments: tuple[str, ...], status: int, words: str) -> None:
    (tmp_path / "bad.json").write_text('{"format": 1')
    (tmp_path / "words.txt").write_text("hello")
    (tmp_path / "rig.yaml").write_text("rig: night\ncomputer: {os: linux}\n")
    done = topo(*arguments, cwd=tmp_path)
    assert done.returncode == status and words in done.stderr and "Traceback" not in done.stderr, done.stderr
    assert "\x1b" not in done.stderr


def test_no_usb_at_all_is_no_error(tmp_path: Path) -> None:
    """umockdev's world with no USB in it."""
    world = tmp_path / "bare.umockdev"
    world.write_text("P: /devices/pci0000:00/0000:00:1f.0\nE: SUBSYSTEM=pci\nA: vendor=0xf000\\n\n")
    done = topo_under(world, "live")
    assert done.returncode == 0 and "! this machine shows no USB devices (none in /sys/bus/usb)" in done.stdout
    empty = tmp_path / "draft.yaml"
    assert topo_under(world, "live", "--draft", str(empty)).returncode == 0
    assert topo("check", str(empty), cwd=tmp_path).returncode == 0


def test_a_terminal_that_knows_ascii_only(saved: Path, tmp_path: Path) -> None:
    done = topo("live", "--from", str(saved), cwd=tmp_path, PYTHONIOENCODING="ascii", PYTHONUTF8="0", LC_ALL="C")
    assert done.returncode == 0 and "Main 26M" in done.stdout and done.stdout.isascii()


def test_the_same_bytes_under_any_hash_seed(saved: Path, tmp_path: Path) -> None:
    outputs = set()
    for seed in ("0", "1", "77"):
        draft = f"rig-{seed}.yaml"
        topo("live", "--from", str(saved), "--draft", draft, cwd=tmp_path, PYTHONHASHSEED=seed)
        told = topo("live", "--from", str(saved), "--json", cwd=tmp_path, PYTHONHASHSEED=seed)
        tree = topo("live", "--from", str(saved), cwd=tmp_path, PYTHONHASHSEED=seed)
        outputs.add(((tmp_path / draft).read_text(), told.stdout, tree.stdout))
    assert len(outputs) == 1


def test_a_watch_names_parts_and_ends_politely(tmp_path: Path) -> None:
    (tmp_path / "rig.yaml").write_text(
        "rig: night\ncomputer: {os: linux}\ndevices:\n  guide-camera:\n"
        '    identity: {vendor_id: F1A0, product_id: "0120"}\n'
    )
    command = [
        need("umockdev-run"),
        "-d",
        str(recording("pier")),
        "--",
        sys.executable,
        "-m",
        "topo",
        "watch",
        "rig.yaml",
    ]
    child = subprocess.Popen([*command, "--every", "0.2"], cwd=tmp_path, stderr=subprocess.PIPE, text=True)
    log = tmp_path / "rig.watch.jsonl"
    deadline = time.monotonic() + 30
    while time.monotonic() < deadline and not (log.exists() and log.read_text().count("\n")):
        time.sleep(0.05)
    child.send_signal(signal.SIGTERM)
    child.communicate(timeout=30)
    notes = read_watch(log).notes
    assert [d.name for d in notes[0].devices if d.device == "1-3.2"] == ["guide-camera"]
    assert notes[-1].kind == "stop"


def put(top: Path, path: str, text: str) -> None:
    (top / path).parent.mkdir(parents=True, exist_ok=True)
    (top / path).write_text(text, encoding="utf-8")


def test_sockets_limits_power_saving_and_the_kernels_pool_are_shown(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where the system keeps them: lanes, what a Type-C socket gives, which sockets are free, delay before sleep."""
    top = build(recording("pier"), tmp_path)
    put(top, "module/usbcore/parameters/usbfs_memory_mb", "16\n")
    put(top, "module/usbcore/parameters/autosuspend", "2\n")
    put(top, "bus/usb/devices/usb1/1-0:1.0/usb1-port4/connector/power_operation_mode", "3.0A\n")
    put(top, "bus/usb/devices/usb1/1-0:1.0/usb1-port3/connector/power_operation_mode", "from a device\x1b\n")
    save(sysfs.scan(str(top)), tmp_path / "scan.json")
    assert status_of(["live", "--from", f"{tmp_path}/scan.json"]) == 0
    lines = [line.strip() for line in capsys.readouterr().out.splitlines()]
    assert "usb3-1  10 Gb/s  in use  (usb1 port 3 and usb2 port 1), 1 lane in, 1 out" in lines
    assert "usb3-2  10 Gb/s  free  (usb1 port 4 and usb2 port 2), gives power 3 A" in lines
    assert "power saving: new devices sleep when idle for 2 s, where their driver allows it" in lines
    assert "kernel's pool for USB buffers: 16 MB" in lines
    put(top, "module/usbcore/parameters/autosuspend", "-1\n")
    put(top, "module/usbcore/parameters/usbfs_memory_mb", "0\n")
    shown = "\n".join(tree_lines(sysfs.scan(str(top))))
    assert "new devices never sleep" in shown and "USB buffers: no limit" in shown
