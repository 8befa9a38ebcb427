"""The one writer: whole or not at all, and nothing broken that a person made: links, owners, modes, protection."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from topo.disk.temporary import new_file, sweep
from topo.disk.whole import write_new, write_whole
from topo.errors import CommandError

posix = pytest.mark.skipif(os.name != "posix", reason="links, FIFOs and owners of POSIX")
ROOT = Path(__file__).resolve().parents[2]
PLAN = "rig: Orchard\ncomputer: {profile: mini-pc-4usb3-2usb2}\n"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@posix
def test_links_are_followed_even_where_they_lead_nowhere_yet(tmp_path: Path) -> None:
    (tmp_path / "inner").mkdir()
    link = tmp_path / "link"
    link.symlink_to("inner/file")
    write_whole(link, b"one")
    write_whole(link, b"two")
    assert link.is_symlink() and (tmp_path / "inner" / "file").read_bytes() == b"two"
    assert names(tmp_path / "inner") == ["file"]
    with pytest.raises(CommandError, match="is there already"):
        write_new(link, b"three")
    circle = tmp_path / "circle"
    circle.symlink_to("circle")
    with pytest.raises(CommandError, match="cannot be written"):
        write_whole(circle, b"x")
    assert circle.is_symlink()


@posix
def test_devices_and_pipes_are_refused_and_stay(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path in (pipe, Path(os.devnull), tmp_path):
        with pytest.raises(CommandError, match="not an ordinary file"):
            write_whole(path, b"x")
    assert stat.S_ISFIFO(pipe.stat().st_mode) and names(tmp_path) == ["pipe"]


@pytest.mark.parametrize("mode", [0o400, 0o444])
def test_a_protected_file_stays_as_it_is_whoever_asks(mode: int, tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"old")
    path.chmod(mode)
    with pytest.raises(CommandError, match="write-protected"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old" and stat.S_IMODE(path.stat().st_mode) == mode


@posix
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664])
def test_the_mode_is_kept(mode: int, tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"old")
    path.chmod(mode)
    write_whole(path, b"new")
    assert stat.S_IMODE(path.stat().st_mode) == mode


@posix
@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only the administrator gives files away")
def test_the_owner_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"old")
    os.chown(path, 12345, 23456)
    write_whole(path, b"new")
    assert (path.stat().st_uid, path.stat().st_gid, path.read_bytes()) == (12345, 23456, b"new")


@posix
def test_an_owner_that_cannot_be_kept_by_a_rename_is_kept_by_writing_into_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"old and longer")
    before = path.stat().st_ino
    monkeypatch.setattr("topo.disk.whole._same_owner", lambda *_: False)
    write_whole(path, b"new")
    assert (path.stat().st_ino, path.read_bytes(), names(tmp_path)) == (before, b"new", ["file"])


@posix
def test_a_second_name_of_a_file_stays_one(tmp_path: Path) -> None:
    path, other = tmp_path / "file", tmp_path / "other"
    path.write_bytes(b"a longer text than the new one")
    os.link(path, other)
    write_whole(path, b"new")
    assert other.read_bytes() == b"new" and path.samefile(other) and names(tmp_path) == ["file", "other"]


@posix
def test_a_second_name_keeps_the_old_bytes_where_writing_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"old")
    os.link(path, tmp_path / "other")
    real: Callable[..., int] = os.write
    calls: list[int] = []

    def full(handle: int, data: bytes) -> int:
        calls.append(len(data))
        if len(calls) == 1:
            return real(handle, data[:2])
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        return real(handle, data)

    monkeypatch.setattr(os, "write", full)
    with pytest.raises(CommandError, match="no space left"):
        write_whole(path, b"newer")
    assert path.read_bytes() == b"old" and names(tmp_path) == ["file", "other"]


@pytest.mark.parametrize("name", ["n" * 255, "ü" * 127, "a" * 251 + ".svg"])
def test_the_longest_names_there_are(name: str, tmp_path: Path) -> None:
    write_whole(tmp_path / name, b"one")
    write_whole(tmp_path / name, b"two")
    assert names(tmp_path) == [name]
    with pytest.raises(CommandError, match="is there already"):
        write_new(tmp_path / name, b"three")
    assert (tmp_path / name).read_bytes() == b"two"
    with pytest.raises(CommandError, match="cannot be written"):
        write_whole(tmp_path / (name + "xx"), b"x")


FULL = """
import resource, sys
from topo.disk.whole import write_new, write_whole
from topo.errors import CommandError
resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
for write in (write_whole, write_new):
    try:
        write(sys.argv[1] if write is write_whole else sys.argv[1] + ".new", bytes(5000))
    except CommandError as error:
        print(error)
"""


@posix
def test_a_disk_with_no_room_leaves_nothing_behind(tmp_path: Path) -> None:
    """A limit on the size of files is met by the same call that a full disk is."""
    path = tmp_path / "file"
    path.write_bytes(b"old")
    done = subprocess.run([sys.executable, "-c", FULL, str(path)], capture_output=True, text=True, cwd=ROOT,
                          timeout=60, check=True)
    assert done.stdout.count("cannot be written: file too large; ") == 2
    # Of a file that was never there nobody says that it is unchanged.
    assert done.stdout.count("file'") == done.stdout.count("; it is unchanged") == 1
    assert done.stdout.count(".new'") == done.stdout.count("; nothing was written") == 1
    assert path.read_bytes() == b"old" and names(tmp_path) == ["file"]


HELD = """
import sys, time
from pathlib import Path
from topo.disk.temporary import new_file
handle, path = new_file(Path(sys.argv[1]))
print(path, flush=True)
time.sleep(60)
"""


@posix
def test_what_a_killed_run_left_is_swept_and_what_a_living_one_holds_is_not(tmp_path: Path) -> None:
    child = subprocess.Popen([sys.executable, "-c", HELD, str(tmp_path)], stdout=subprocess.PIPE, text=True, cwd=ROOT)
    assert child.stdout is not None
    left = Path(child.stdout.readline().strip())
    old = time.time() - 10
    os.utime(left, (old, old))
    write_whole(tmp_path / "file", b"x")
    assert left.exists()
    child.send_signal(signal.SIGKILL)
    child.wait()
    child.stdout.close()
    write_whole(tmp_path / "file", b"y")
    assert names(tmp_path) == ["file"]


def test_only_old_things_with_a_name_of_ours_are_swept(tmp_path: Path) -> None:
    old = time.time() - 100_000
    kept = (".topo-0123456789abcdef.tmp.yaml", "topo-0123456789abcdef.tmp", ".topo-0123456789abcdeX.tmp", ".rig.tmp")
    for name in (*kept, ".topo-0123456789abcdef.tmp"):
        (tmp_path / name).write_bytes(b"")
        os.utime(tmp_path / name, (old, old))
    (tmp_path / ".topo-ffffffffffffffff.tmp").mkdir()
    handle, young = new_file(tmp_path)
    os.close(handle)
    sweep(tmp_path)
    assert names(tmp_path) == sorted((*kept, ".topo-ffffffffffffffff.tmp", young.name))


def test_a_file_that_changed_meanwhile_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"as read")
    write_whole(path, b"mine", was=b"as read")
    with pytest.raises(CommandError, match="has changed since it was read"):
        write_whole(path, b"mine too", was=b"as read")
    assert path.read_bytes() == b"mine"
    path.unlink()
    with pytest.raises(CommandError, match="cannot be written"):
        write_whole(path, b"again", was=b"as read")


@posix
def test_four_runs_that_add_a_part_at_once_lose_none(tmp_path: Path) -> None:
    rig = tmp_path / "rig.yaml"
    rig.write_text(PLAN)
    children = [
        subprocess.Popen([sys.executable, "-m", "topo", "place", str(rig), "focuser-hid", "--name", f"part-{n}",
                          "--write"], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, cwd=ROOT)
        for n in range(4)
    ]
    told = [child.communicate(timeout=120)[1] for child in children]
    text = rig.read_text()
    added = [n for n in range(4) if f"added part-{n}" in told[n]]
    assert added and [n for n in range(4) if f"part-{n}:" in text] == added, told
    for n, child in enumerate(children):
        assert child.returncode == (0 if n in added else 2)
        assert n in added or "has changed since it was read" in told[n]
    assert names(tmp_path) == ["rig.yaml"]
