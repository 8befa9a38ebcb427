"""The exit status of every command: 0 done, 1 findings, 2 file or command, 3 scan or plugin, 4 a defect of the tool."""

from __future__ import annotations

import importlib
import json
import os
from pathlib import Path
from typing import Any

import click
import pytest

from tests.cli.shell import CLEAN, FAULTY, arguments, topo, write_scan
from topo.cli.main import COMMANDS, status_of
from topo.cli.main import __file__ as main_file
from topo.errors import PluginError, ScanError

WITH_RIG = (
    "check", "night", "power", "draw", "compare", "names", "watch", "place", "rewire", "planb", "diff", "pack",
    "report",
)  # fmt: skip
NEEDED = {"place": ["camera-guide-1mp"], "pack": ["-o", "made"], "report": ["-o", "made.html"]}


@pytest.fixture(autouse=True)
def _alone(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TOPO_PROFILES", os.devnull)
    monkeypatch.chdir(tmp_path)


def told(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, str, str]:
    status = status_of(list(args))
    out, err = capsys.readouterr()
    return status, out, err


def test_every_command_is_tried() -> None:
    assert set(arguments("", "", "")) == set(COMMANDS), "a new command gets its ways in tests/cli/shell.py"


@pytest.mark.parametrize("name", [name for name in COMMANDS if name != "watch"])
def test_done_is_0_and_only_the_answer_is_on_standard_output(
    name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    write_scan(tmp_path / "scan", "Camera")
    for args in arguments(str(CLEAN), "scan", "made")[name]:
        status, out, err = told(capsys, name, *args)
        assert status == (1 if name == "compare" else 0), err
        if "--json" in args or name == "schema":
            assert json.loads(out)
        assert all("\r" not in text for text in (out, err))


def test_findings_are_1(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "rig.yaml").write_text(FAULTY)
    assert told(capsys, "check", "rig.yaml")[0] == 1
    assert told(capsys, "check", "rig.yaml", "--json")[0] == 1
    assert told(capsys, "check", "rig.yaml", "--fail-on", "never")[0] == 0


@pytest.mark.parametrize("name", WITH_RIG)
def test_a_rig_file_that_is_not_there_is_2(name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    more = ["no-other.yaml"] if name == "diff" else NEEDED.get(name, [])
    status, out, err = told(capsys, name, "no-such.yaml", *more)
    assert (status, out) == (2, "")
    assert "no-such.yaml: there is no such file" in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", WITH_RIG)
def test_a_rig_file_with_mistakes_is_2_with_their_places(
    name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "rig.yaml").write_text("rig: A\ncomputer: {}\ndevices:\n  a: {plgu: computer/x}\n  b: {role: guide}\n")
    more = [str(CLEAN)] if name == "diff" else NEEDED.get(name, [])
    status, out, err = told(capsys, name, "rig.yaml", *more)
    assert (status, out) == (2, "")
    assert "rig.yaml:4:7: " in err and "rig.yaml:5:13: " in err
    assert "2 problems to mend first; nothing was computed" in err
    assert [path.name for path in tmp_path.iterdir()] == ["rig.yaml"]


@pytest.mark.parametrize("name", COMMANDS)
def test_an_option_that_does_not_exist_is_2(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = told(capsys, name, "--no-such")
    assert (status, out) == (2, "")
    assert "--no-such" in err and "Traceback" not in err


def test_the_nearest_names_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Did you mean 'check'?" in told(capsys, "chek", "rig.yaml")[2]
    assert "`topo --help` lists them" in told(capsys, "xyzzy")[2]
    assert "--json" in told(capsys, "check", "--jsn", "rig.yaml")[2]
    assert "--fail-on" in told(capsys, "check", "--fail", "x", "rig.yaml")[2]
    assert told(capsys, "chek")[0] == 2
    status, _, err = told(capsys, "check", str(CLEAN), "--fail-on", "faults")
    assert status == 2 and "'fault'" in err


def test_values_out_of_bounds_and_missing_words_are_2(capsys: pytest.CaptureFixture[str]) -> None:
    for args in (["check"], ["check", str(CLEAN), "--width", "3"], ["check", str(CLEAN), "more"], ["pack", str(CLEAN)],
                 ["rewire", str(CLEAN), "--moves", "99"], ["explain", "no-such-finding"], ["profiles", "no-such-thing"],
                 ["place", str(CLEAN), "no-such-profile"], ["draw", str(CLEAN), "-o", "a.xyz"],
                 ["planb", str(CLEAN), "-o", "a.xyz"]):  # fmt: skip
        status, out, err = told(capsys, *args)
        assert (status, out) == (2, ""), args
        assert err and "Traceback" not in err


def test_a_scan_that_cannot_be_read_is_3(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "scan").write_bytes(b"\x00\xff{")
    for args in (["live", "--from", "scan"], ["live", "--from", "no-such"], ["compare", str(CLEAN), "scan"],
                 ["compare", str(CLEAN), "no-such"]):  # fmt: skip
        status, out, err = told(capsys, *args)
        assert (status, out) == (3, ""), (args, err)
        assert err and "Traceback" not in err


@pytest.mark.parametrize("error", [ScanError("the bus is gone"), PluginError("it cannot be used")])
def test_what_scans_and_plugins_raise_is_3(
    error: Exception, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    _raise(monkeypatch, "plugins", error)
    status, out, err = told(capsys, "plugins")
    assert (status, out) == (3, "") and str(error) in err


@pytest.mark.parametrize("name", COMMANDS)
def test_a_defect_is_4_and_says_so(
    name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    _raise(monkeypatch, name, RuntimeError("odd \x1b[31m\u202e thing"))
    status, out, err = told(capsys, name)
    assert (status, out) == (4, "")
    assert "RuntimeError: odd \\x1b[31m\\u202e thing" in err and "Traceback" in err
    assert "topo has a defect" in err and "report" in err
    assert "\x1b" not in err and "\u202e" not in err


def test_a_stop_is_130(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    for error in (KeyboardInterrupt(), click.Abort()):
        _raise(monkeypatch, "plugins", error)
        status, out, err = told(capsys, "plugins")
        assert (status, out, err.strip()) == (130, "", "stopped")


def _raise(monkeypatch: pytest.MonkeyPatch, name: str, error: BaseException) -> None:
    """Makes a command raise as soon as it runs, whatever it is given."""
    def raising(*_: Any, **__: Any) -> None:
        raise error

    command = importlib.import_module(COMMANDS[name][0]).command
    monkeypatch.setattr(command, "params", [])
    if isinstance(command, click.Group):
        monkeypatch.setattr(command, "invoke", raising)
    else:
        monkeypatch.setattr(command, "callback", raising)


def test_the_same_from_a_shell() -> None:
    assert topo("check", str(CLEAN)).returncode == 0
    assert topo("check", str(CLEAN), "--fail-on", "note").returncode in (0, 1)
    assert topo("check", "no-such.yaml").returncode == 2
    assert topo("live", "--from", "no-such").returncode == 3
    alone = topo()
    assert alone.returncode == 2 and b"Commands:" in alone.stderr
    assert topo("--version").stdout.startswith(b"topo")


@pytest.mark.parametrize("name", [name for name in WITH_RIG if name not in ("watch",)])
def test_a_bad_file_gives_its_problems_as_json(
    name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    schema = json.loads((Path(main_file).with_name("problems.schema.json")).read_text("utf-8"))
    (tmp_path / "bad.yaml").write_text("rig: A\ncomputer: {}\ndevices: {cam: {rol: imaging}}\n")
    more = ["bad.yaml", "bad.yaml"] if name == "diff" else ["bad.yaml", *NEEDED.get(name, ())]
    status, out, err = told(capsys, name, *more, "--json")
    assert status == 2 and "rol" in err
    jsonschema.validate(json.loads(out), schema)
    assert [(each["line"], each["file"]) for each in json.loads(out)["problems"]] == [(3, "bad.yaml")]
    assert told(capsys, name, *more)[1] == ""


def test_every_command_with_json_tells_problems_as_json(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    schema = json.loads((Path(main_file).with_name("problems.schema.json")).read_text("utf-8"))
    (tmp_path / "bad.yaml").write_text("rig: A\ncomputer: {}\ndevices: {cam: {rol: imaging}}\n")
    (tmp_path / "scan").write_bytes(b"\x00\xff{")
    with_json = {name for name, (module, _) in COMMANDS.items()
                 if any("--json" in option.opts for option in importlib.import_module(module).command.params)}
    ways = {name: ["bad.yaml", *NEEDED.get(name, ())] for name in WITH_RIG} | {
        "diff": ["bad.yaml", "bad.yaml"], "chase": ["bad.yaml", "--symptom", "drops"], "evidence": ["bad.yaml", "scan"],
        "live": ["--from", "scan"], "compare": [str(CLEAN), "scan"], "explain": ["no-such-finding"],
        "profiles": ["no-such-thing"],
    }
    # Of `plugins` nothing a person hands it can be bad. A new command that reads a rig goes into WITH_RIG.
    assert with_json - set(ways) == {"plugins"}
    for name, words in ways.items():
        status, out, err = told(capsys, name, *words, "--json")
        assert status in (2, 3) and err, name
        jsonschema.validate(json.loads(out), schema)


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_shell_can_complete_as_the_readme_says(shell: str) -> None:
    done = topo("x", _TOPO_COMPLETE=f"{shell}_source")
    assert b"_TOPO_COMPLETE" in done.stdout
    assert f"{shell}_source" in (Path(main_file).parents[2] / "README.md").read_text("utf-8")
