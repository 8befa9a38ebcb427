"""The documents say what the tool does: commands, findings, facts and files they name exist, and none is left out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from topo.checks import MODULES
from topo.cli.main import COMMANDS
from topo.pipeline import examine_text

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_command_is_in_the_readme_and_no_other() -> None:
    assert set(re.findall(r"`topo ([a-z]+)", README)) == set(COMMANDS)


def test_every_command_is_there() -> None:
    import importlib

    for module, _ in COMMANDS.values():
        assert importlib.import_module(module).command.name


@pytest.mark.parametrize("rig", re.findall(r"```yaml\n(.*?)```", README, flags=re.DOTALL))
def test_rigs_in_the_readme_are_rigs(rig: str) -> None:
    assert yaml.safe_load(rig)["rig"]
    assert examine_text(rig).study.devices


def test_what_the_readme_quotes_is_what_the_example_says() -> None:
    quoted = re.search(r"among other things:\n\n```\n(.*?)```", README, flags=re.DOTALL)
    assert quoted is not None
    report = (ROOT / "examples" / "behind-the-camera" / "report.txt").read_text(encoding="utf-8").splitlines()
    for line in quoted[1].splitlines():
        assert line in report


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_files_that_are_named_exist(text: str) -> None:
    for name in re.findall(r"`((?:topo|tests|plugins|examples)/[\w./-]*)`", text):
        assert (ROOT / name).exists(), name


def test_checks_are_listed_once() -> None:
    assert len(set(MODULES)) == len(MODULES)
    files = {
        path.relative_to(ROOT / "topo" / "checks").with_suffix("").as_posix().replace("/", ".")
        for path in (ROOT / "topo" / "checks").glob("*/*.py")
        if "\nCHECK = Check(" in path.read_text(encoding="utf-8")  # others hold what several checks need
    }
    assert set(MODULES) == files
