"""What goes into the wheel: every package there is, and the plugin to copy is not among them."""

from __future__ import annotations

import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def test_every_package_is_listed_and_no_other() -> None:
    config = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    found = {".".join(path.parent.relative_to(ROOT).parts) for path in (ROOT / "topo").rglob("__init__.py")}
    for path in (ROOT / "plugins").rglob("__init__.py"):
        parts = path.parent.relative_to(ROOT / "plugins").parts
        if "copy-me" not in parts:
            found.add(".".join(("topo_plugins", *parts)))
    assert set(config["packages"]) == found
    assert len(config["packages"]) == len(found)


def test_every_folder_of_code_is_a_package() -> None:
    for path in (ROOT / "topo").rglob("*.py"):
        assert (path.parent / "__init__.py").exists(), path


def test_data_files_have_endings_that_are_packed() -> None:
    packed = {".py", ".yaml", ".json", ".typed"}
    for folder in ("topo", "plugins"):
        for path in (ROOT / folder).rglob("*"):
            hidden = any(part in ("__pycache__", "copy-me") for part in path.parts)
            assert path.is_dir() or hidden or path.suffix in packed or path.name == "py.typed", path
