"""The watch's log: on disk line by line, whatever kills the watch, and read back whatever was torn."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.live.tools import PROJECT, build, recording
from topo.errors import ScanError
from topo.live.notes import NoteFile, line_of, read_watch
from topo.model.watchnote import WATCH_FORMAT, Note

START = Note("start", "2025-11-25T21:00:00.000+01:00", 1.0, "watching", format=WATCH_FORMAT)
DROP = Note("dropped", "2025-11-25T21:00:02.000+01:00", 3.0, "gone \x1b[2J", device="1-2")


def log_of(tmp_path: Path, *notes: Note) -> Path:
    file = NoteFile(tmp_path / "night.jsonl")
    for note in notes:
        assert file.add(note) is None
    file.close()
    return tmp_path / "night.jsonl"


def test_there_and_back(tmp_path: Path) -> None:
    path = log_of(tmp_path, START, DROP)
    assert read_watch(path).notes == (START, DROP)
    assert all(json.loads(line) for line in path.read_text(encoding="ascii").splitlines())


def test_a_log_cut_anywhere_keeps_every_whole_line(tmp_path: Path) -> None:
    whole = log_of(tmp_path, START, DROP, DROP).read_bytes()
    first = whole.index(b"\n")
    for end in range(first, len(whole) + 1):
        path = tmp_path / "cut.jsonl"
        path.write_bytes(whole[:end])
        log = read_watch(path)
        text = whole[:end]
        assert len(log.notes) >= text.count(b"\n") and log.problems == ()


def test_appending_after_a_torn_line(tmp_path: Path) -> None:
    path = log_of(tmp_path, START, DROP)
    path.write_bytes(path.read_bytes()[:-20])
    log_of(tmp_path, START, DROP)
    log = read_watch(path)
    assert log.notes == (START, START, DROP) and (log.torn, log.problems) == (1, ())


def test_zeros_after_a_power_cut(tmp_path: Path) -> None:
    path = log_of(tmp_path, START, DROP)
    path.write_bytes(path.read_bytes() + b"\0" * 4096)
    assert read_watch(path).notes == (START, DROP)


def test_a_line_that_is_wrong_in_the_middle_is_told(tmp_path: Path) -> None:
    path = log_of(tmp_path, START)
    path.write_text(f'{line_of(START)}{{"kind": "dropped"}}\n{line_of(DROP)}', encoding="ascii")
    log = read_watch(path)
    assert log.notes == (START, DROP) and log.problems == ("line 2: the top: the key 'at' is missing",)


@pytest.mark.parametrize("data", [b"", b"hello\n", b'{"format": "topo.scan.1"}\n', line_of(DROP).encode()])
def test_other_files_are_no_log_and_are_not_appended_to(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "other.txt"
    path.write_bytes(data)
    with pytest.raises(ScanError):
        read_watch(path)
    if data:
        with pytest.raises(ScanError, match="no watch log"):
            NoteFile(path)
        assert path.read_bytes() == data


def test_a_full_disk_keeps_the_note_for_later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = NoteFile(tmp_path / "night.jsonl")
    assert file.add(START) is None
    real = os.write
    monkeypatch.setattr("topo.live.notes.os.write", lambda fd, data: real(fd, data[:10]) if len(data) > 10 else full())
    assert "no space left" in (file.add(DROP) or "")
    monkeypatch.setattr("topo.live.notes.os.write", real)
    assert file.add(DROP) is None
    file.close()
    assert read_watch(tmp_path / "night.jsonl").notes == (START, DROP, DROP)


def full() -> int:
    raise OSError(28, "No space left on device")


CHURN = """
import sys
from pathlib import Path
from topo.live.scanners import sysfs_scanner
from topo.live.notes import NoteFile, line_of
from topo.live.watch import watch

top, log = sys.argv[1:]
number = Path(top, "bus/usb/devices/1-3.2/devnum")
file = NoteFile(log)

def keep(note):
    assert file.add(note) is None
    sys.stdout.write(line_of(note))      # only what is on disk is acknowledged
    sys.stdout.flush()
    number.write_text(f"{int(number.read_text() or 0) + 1}\\n")

watch(sysfs_scanner(top), keep, 0.001)
"""


@pytest.mark.slow
def test_killed_at_any_moment_all_notes_are_kept(tmp_path: Path) -> None:
    """A watch that notes as fast as it can is killed 25 times after some of its notes, each time on the same log."""
    top, log = build(recording("pier"), tmp_path), tmp_path / "night.jsonl"
    chance = random.Random(11)
    told: list[str] = []
    for _ in range(25):
        child = subprocess.Popen(
            [sys.executable, "-c", CHURN, str(top), str(log)], stdout=subprocess.PIPE, text=True, cwd=PROJECT
        )
        assert child.stdout is not None
        told += [child.stdout.readline() for _ in range(chance.randint(1, 9))]
        time.sleep(chance.random() * 0.01)
        child.send_signal(signal.SIGKILL)
        told += [line for line in child.stdout.read().splitlines(keepends=True) if line.endswith("\n")]
        child.wait()
    assert len(told) > 100 and all(told)
    kept = log.read_text(encoding="ascii").splitlines(keepends=True)
    left = iter(kept)
    assert all(any(line == other for other in left) for line in told), "an acknowledged note is not in the log"
    read = read_watch(log)
    assert read.problems == () and len(read.notes) >= len(told)
    assert sum(note.kind == "start" for note in read.notes) == 25
