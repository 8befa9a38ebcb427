"""A scan causes no traffic: every file the tool opens while it scans is on a list, under strace, on every run."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from tests.live.tools import need, recording, under_umockdev
from topo.disk.temporary import OURS
from topo.live.attributes import ATTRIBUTES
from topo.live.beside import MAY_LIST, MAY_OPEN

CALLS = (
    "open,openat,openat2,creat,write,pwrite64,writev,ioctl,unlink,unlinkat,rename,renameat,renameat2,link,linkat,mkdir,"
    "mkdirat,symlink,symlinkat,truncate,ftruncate,chmod,fchmod,fchmodat,connect,sendto,sendmsg"
)
CALL = re.compile(r'^(?:\d+ +)?([a-z0-9_]+)\((?:AT_FDCWD(?:<[^>]*>)?, )?(?:(\d+)(?:<([^>]*)>)?|"([^"]*)")(.*)$')
WORLD = re.compile(r"^/tmp/umockdev\.[A-Za-z0-9]+")
PYTHON_S_OWN = ("/dev/null", "/dev/urandom")
"""Python may open these two for itself; they are no devices of the rig."""


def traced(tmp_path: Path, *arguments: str) -> list[tuple[str, str, str]]:
    """(call, path or file, rest) of every call, failed ones too, under umockdev; paths as the tool named them."""
    need("umockdev-run")
    log = tmp_path / "trace.txt"
    command = (need("strace"), "-f", "-y", "-s", "400", "-e", f"trace={CALLS}", "-o", str(log))
    done = under_umockdev(recording("pier"), *command, sys.executable, "-B", "-m", "topo", *arguments)
    assert done.returncode == 0, done.stderr
    calls = []
    for line in log.read_text(encoding="utf-8", errors="replace").splitlines():
        match = CALL.match(line)
        if match:
            calls.append((match[1], WORLD.sub("", match[4] if match[4] is not None else match[3] or ""), match[5]))
    assert len(calls) > 100, "strace saw too little"
    return calls


def opened(calls: list[tuple[str, str, str]]) -> list[tuple[str, str]]:
    return [(path, rest) for call, path, rest in calls if call.startswith(("open", "creat"))]


@pytest.mark.parametrize("arguments", [("live",), ("live", "--json"), ("live", "--save", "OUT")])
def test_a_scan_opens_and_writes_nothing_but_what_is_listed(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    out = tmp_path / "out.json"
    calls = traced(tmp_path, *(str(out) if word == "OUT" else word for word in arguments))
    files = opened(calls)

    under_dev = [path for path, _ in files if path.startswith("/dev/") and path not in PYTHON_S_OWN]
    assert under_dev == [], "something under /dev was opened"

    read = [path for path, rest in files if path.startswith("/sys/") and "O_DIRECTORY" not in rest]
    assert any(path.endswith("/1-3/devnum") for path in read), "the scan was not seen"
    wrong = [path for path in read if not listed(path)]
    assert wrong == [], "an attribute that is not on the list was read"

    for_writing = [path for path, rest in files if re.search(r"O_WRONLY|O_RDWR|O_CREAT|O_TRUNC", rest)]
    allowed = {path for path in for_writing if path.startswith(str(tmp_path)) and OURS.fullmatch(Path(path).name)}
    assert set(for_writing) - allowed <= set(PYTHON_S_OWN), "a file was opened for writing"
    assert bool(allowed) == ("--save" in arguments)


def listed(path: str) -> bool:
    parts = path.split("/")
    return parts[-1] in ATTRIBUTES or "/".join(parts[-2:]) in ATTRIBUTES


@pytest.mark.parametrize("arguments", [("live",), ("live", "--json")])
def test_what_is_opened_beside_sysfs_is_on_its_list(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    files = opened(traced(tmp_path, *arguments))
    heads = ("/proc/", "/run/", "/etc/group", "/etc/modprobe")
    beside = [(path, rest) for path, rest in files if path.startswith(heads)]
    read = [path for path, rest in beside if "O_DIRECTORY" not in rest]
    assert "/proc/locks" in read and any(path.startswith("/proc/") and path.endswith("/comm") for path in read)
    # Python and its libraries read about the process itself (/proc/self/…, /proc/cpuinfo): that is no device.
    strange = [path for path in read if not MAY_OPEN.fullmatch(path[1:]) and not re.match(r"/proc/(self|[a-z])", path)]
    assert strange == [], "a file beside sysfs that is not on the list"
    assert not [path for path in read if path.endswith(("/cmdline", "/environ"))], "arguments of programs were read"
    listed_there = [path.rstrip("/")[1:] for path, rest in beside if "O_DIRECTORY" in rest]
    assert all(MAY_LIST.fullmatch(path) for path in listed_there), listed_there


def test_a_scan_writes_to_its_output_only(tmp_path: Path) -> None:
    calls = traced(tmp_path, "live")
    written = {path for call, path, _ in calls if call in ("write", "pwrite64", "writev")}
    assert written and all(path.startswith(("pipe:", "/dev/null", "anon_inode:")) for path in written), written
    changed = [
        call for call in calls if call[0].startswith(("unlink", "rename", "link", "mkdir", "symlink", "trunc", "chmod"))
    ]
    assert changed == []
    ioctls = [
        rest for call, _, rest in calls if call == "ioctl" and not re.match(r", (TCGETS|TIOCGWINSZ|FIOCLEX)", rest)
    ]
    assert ioctls == [], "a request to a driver was made"
    assert [call for call in calls if call[0] in ("connect", "sendto", "sendmsg")] == []


def test_a_watch_opens_nothing_else_either(tmp_path: Path) -> None:
    rig, log = tmp_path / "rig.yaml", tmp_path / "night.jsonl"
    rig.write_text("rig: night\ncomputer: {os: linux}\n")
    calls = traced(tmp_path, "watch", str(rig), "--log", str(log), "--looks", "3", "--every", "0.1")
    files = opened(calls)
    assert [path for path, _ in files if path.startswith("/dev/") and path not in PYTHON_S_OWN] == []
    assert all(listed(p) for p, rest in files if p.startswith("/sys/") and "O_DIRECTORY" not in rest)
    for_writing = {path for path, rest in files if re.search(r"O_WRONLY|O_RDWR|O_CREAT|O_TRUNC", rest)}
    assert for_writing - set(PYTHON_S_OWN) == {str(log)}


def test_the_baits_would_be_seen() -> None:
    """The recording holds what must not be read, so that this test can fail."""
    text = recording("pier").read_text(encoding="ascii")
    assert "-port1/disable=bait" in text and "current_link_speed=bait" in text
    assert not listed("/sys/bus/usb/devices/1-0:1.0/usb1-port1/disable")
    assert not listed("/sys/bus/pci/devices/0000:00:14.0/current_link_speed")
