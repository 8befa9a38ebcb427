"""Writing is whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from topo.errors import CommandError
from topo.rigfile.edit import write


def test_bytes_mode_and_line_ends_are_kept(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_bytes(b"old")
    path.chmod(0o640)
    write(path, "rig: Ü\r\nx\n")
    assert path.read_bytes() == "rig: Ü\r\nx\n".encode()
    assert path.stat().st_mode & 0o777 == 0o640
    assert [path.name for path in tmp_path.iterdir()] == ["rig.yaml"]


def test_a_new_file_gets_the_usual_mode(tmp_path: Path) -> None:
    old = os.umask(0o027)
    try:
        write(tmp_path / "new.yaml", "x")
    finally:
        os.umask(old)
    assert (tmp_path / "new.yaml").stat().st_mode & 0o777 == 0o640


def test_links_are_followed(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    target = tmp_path / "real" / "rig.yaml"
    target.write_text("old")
    link = tmp_path / "link.yaml"
    link.symlink_to("real/rig.yaml")
    write(link, "new")
    assert link.is_symlink()
    assert target.read_text() == "new"


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_trouble_on_the_way_leaves_the_old_file(step: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text("old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full) if step == "fsync" else monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(CommandError, match="cannot be written: no space left on device; it is unchanged"):
        write(path, "new")
    assert path.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["rig.yaml"]


def test_what_cannot_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CommandError, match="cannot be written: no such file or directory"):
        write(tmp_path / "no" / "rig.yaml", "x")
    with pytest.raises(CommandError, match="not an ordinary file"):
        write(tmp_path, "x")
    with pytest.raises(CommandError, match="cannot be written"):
        write(tmp_path / "a\0b", "x")
    with pytest.raises(CommandError, match="cannot be written"):
        write(tmp_path / "a", "\ud800")
    path = tmp_path / "rig.yaml"
    path.write_text("old")
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(CommandError, match="write-protected"):
        write(path, "new")
    assert path.read_text() == "old"
