"""What the folders on the path tell of distributions agrees with `importlib.metadata`, or is left to it."""

from __future__ import annotations

import importlib.metadata
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from topo.plugin.described import announcing, version_of

POINTS = "[console_scripts]\nx = y:z\n\n[topo]\nmine = mine\n"


def described(folder: Path, name: str, head: str, points: str | bytes = "", file: str = "METADATA") -> None:
    """Puts the description of a distribution into a folder."""
    (folder / name).mkdir(parents=True)
    if head:
        (folder / name / file).write_text(head, encoding="utf-8")
    if points:
        raw = points.encode() if isinstance(points, str) else points
        (folder / name / "entry_points.txt").write_bytes(raw)


def head(name: str, version: str) -> str:
    """The head of a description, and a text below it that only looks like one."""
    return f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n\nVersion: 9\n"


def test_here() -> None:
    assert version_of("topo-rig") == importlib.metadata.version("topo-rig")
    assert announcing("console_scripts") and announcing("topo") == bool(importlib.metadata.entry_points(group="topo"))


def plain(folder: Path) -> None:
    described(folder, "other-1.dist-info", head("other", "1"), "[console_scripts]\nx = y:z\n")
    described(folder, "topo_rig-3.0+local.dist-info", head("topo-rig", "3.0+local"))


def egg_info(folder: Path) -> None:
    described(folder, "topo_rig.egg-info", head("topo-rig", "0.9"), POINTS, "PKG-INFO")


def egg_info_file(folder: Path) -> None:
    (folder / "other-1-py3.11.egg-info").write_text(head("other", "1"))


def older_name(folder: Path) -> None:
    described(folder, "Topo.Rig-2.dist-info", head("Topo.Rig", "2"), POINTS)


def no_version(folder: Path) -> None:
    described(folder, "topo_rig-3.dist-info", "Name: topo-rig\n\nVersion: 8\n")


def zipped(folder: Path) -> None:
    with zipfile.ZipFile(folder / "all.zip", "w") as archive:
        archive.writestr("topo_rig-4.dist-info/METADATA", head("topo-rig", "4"))
        archive.writestr("topo_rig-4.dist-info/entry_points.txt", POINTS)
    sys.path.insert(0, str(folder / "all.zip"))


def egg(folder: Path) -> None:
    described(folder / "topo_rig-5.egg", "EGG-INFO", head("topo-rig", "5"), POINTS, "PKG-INFO")
    sys.path.insert(0, str(folder / "topo_rig-5.egg"))


def spoilt(folder: Path) -> None:
    described(folder, "other-1.dist-info", head("other", "1"), b"[topo]\nx = \xff\n")


def missing(folder: Path) -> None:
    sys.path.insert(0, str(folder / "not-there"))


CASES = (plain, egg_info, egg_info_file, older_name, no_version, zipped, egg, spoilt, missing)


@pytest.mark.filterwarnings("ignore:Implicit None:DeprecationWarning")
@pytest.mark.parametrize("make", CASES, ids=lambda make: make.__name__)
def test_as_importlib_says(make: Callable[[Path], None], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "path", [str(tmp_path)])
    make(tmp_path)
    try:
        version = importlib.metadata.version("topo-rig") or ""
    except (importlib.metadata.PackageNotFoundError, KeyError):  # a version that is not told: a KeyError from 3.14 on
        version = ""
    assert version_of("topo-rig") == version
    if make is spoilt:  # importlib tells what is wrong with it
        assert announcing("topo")
    else:
        points = [each.read_text("entry_points.txt") or "" for each in importlib.metadata.distributions()]
        assert announcing("topo") is any("[topo]" in text for text in points)


def test_a_finder_of_its_own_is_left_to_importlib(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Finder:
        """Knows a distribution that is in no folder."""

        def find_distributions(self, context: object) -> list[object]:
            return []

    monkeypatch.setattr(sys, "path", [str(tmp_path)])
    assert not announcing("topo")
    monkeypatch.setattr(sys, "meta_path", [*sys.meta_path, Finder()])
    assert announcing("topo")
