"""Plugins made for one test: a package and its dist-info in a folder of their own, put on sys.path."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

MakePlugin = Callable[..., Path]


@pytest.fixture(autouse=True)
def _no_profiles_of_the_person(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever profiles the person who runs the tests has stay out of them."""
    (tmp_path / "own-profiles").mkdir()
    monkeypatch.setenv("TOPO_PROFILES", str(tmp_path / "own-profiles"))


@pytest.fixture
def make_plugin(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[MakePlugin]:
    """Makes and announces a plugin: `make_plugin("odd", "source", **{"more.yaml": "text"})` gives its folder.

    The distribution is called NAME-rig-parts, version 1.2, the package NAME_rig_parts.
    """
    site = tmp_path / "site"
    site.mkdir()
    monkeypatch.syspath_prepend(str(site))
    made: list[str] = []

    def make(name: str, source: str, **files: str) -> Path:
        package = f"{name}_rig_parts"
        folder = site / package
        folder.mkdir()
        (folder / "__init__.py").write_text(source, encoding="utf-8")
        for file, text in files.items():
            (folder / file).write_text(text, encoding="utf-8")
        about = site / f"{package}-1.2.dist-info"
        about.mkdir()
        (about / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}-rig-parts\nVersion: 1.2\n", "utf-8")
        (about / "entry_points.txt").write_text(f"[topo]\n{name} = {package}\n", "utf-8")
        made.append(package)
        return folder

    yield make
    for package in made:
        sys.modules.pop(package, None)
