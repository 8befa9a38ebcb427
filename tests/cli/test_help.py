"""Help: of every command, in 80 columns, for the price of click."""

from __future__ import annotations

import importlib
import json
import subprocess
import sys

import click
import pytest

from tests.cli.shell import ROOT, environment, topo
from topo.cli.main import COMMANDS, status_of

HEAVY = ("networkx", "pydantic", "rich", "pluggy", "yaml", "numpy", "graphviz", "pygraphviz", "usb", "serial",
         "importlib.metadata", "topo.plugin.load", "topo.rigfile.schema", "topo.builtin", "topo_plugins")
NOT_FOR_A_CHECK = (
    "pydantic", "networkx", "rich", "numpy", "importlib.metadata", "importlib.resources", "email", "zipfile", "shutil",
    "tempfile", "secrets", "json", "topo.rigfile.schema", "topo.model.comparison",
    "topo.plugin.anew", "topo.compare.align", "topo.draw.dot", "topo.checks.live.part_missing",
    "topo.checks.evidence.glitches_line_up",
)
"""What a check of a good file, with no scan, no log and no stranger's plugin, does without."""
PAGES = [[], *([name] for name in COMMANDS), ["profiles", "new"]]


@pytest.mark.parametrize("words", PAGES, ids=" ".join)
def test_help_fits_80_columns(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    if words:  # click keeps the help option that a command got when it first ran, in another test and without its group
        importlib.import_module(COMMANDS[words[0]][0]).command._help_option = None
    for option in ("--help", "-h"):
        assert status_of([*words, option]) == 0
        out, err = capsys.readouterr()
        assert err == ""
        assert out.startswith("Usage: topo ") and "-h, --help" in out
        assert max(map(len, out.splitlines())) <= 80
        assert out.isascii()


def test_every_command_has_a_line_and_every_option_a_word(capsys: pytest.CaptureFixture[str]) -> None:
    status_of(["--help"])
    listed = capsys.readouterr().out.split("Commands:")[1].splitlines()
    assert [line.split()[0] for line in listed if line.strip()] == list(COMMANDS)
    for name, (module, line) in COMMANDS.items():
        assert 10 < len(line) < 60, name
        command = importlib.import_module(module).command
        group = command.commands.values() if isinstance(command, click.Group) else ()
        for one in (command, *group):
            assert all(option.help for option in one.params if isinstance(option, click.Option)), name


def test_help_loads_nothing_that_is_slow() -> None:
    script = (
        "import json, sys\nfrom topo.cli.main import COMMANDS, status_of\nloaded = {}\n"
        f"heavy = {HEAVY!r}\n"
        f"for words in {PAGES!r}:\n"
        "    status_of([*words, '--help'])\n"
        "    loaded[' '.join(words)] = [name for name in heavy if name in sys.modules]\n"
        "print(json.dumps(loaded), file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, check=True, env=environment())
    assert json.loads(done.stderr) == {" ".join(words): [] for words in PAGES}


@pytest.mark.parametrize("words", [["check", "--help"], ["--version"], ["chek"]], ids=" ".join)
def test_neither_do_answers_that_need_no_rig(words: list[str]) -> None:
    done = topo(*words, PYTHONPROFILEIMPORTTIME="1")
    loaded = {line.rsplit("|", 1)[-1].strip() for line in done.stderr.decode().splitlines() if "import time:" in line}
    allowed = {"importlib.metadata"} if words == ["--version"] else set()
    assert loaded.isdisjoint(set(HEAVY) - allowed)


@pytest.mark.parametrize("words", [["check"], ["check", "--json"], ["power"], ["planb"]], ids=" ".join)
def test_a_command_loads_what_it_uses(words: list[str]) -> None:
    done = topo(words[0], "examples/garden-pier/rig.yaml", *words[1:], PYTHONPROFILEIMPORTTIME="1")
    loaded = {line.rsplit("|", 1)[-1].strip() for line in done.stderr.decode().splitlines() if "import time:" in line}
    used = {"json"} if "--json" in words else set()
    assert "topo.pipeline" in loaded and loaded.isdisjoint(set(NOT_FOR_A_CHECK) - used)
