"""`topo check`: its options and exit statuses, on reports made by hand."""

from __future__ import annotations

import json
import sys
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from tests.report.hand_made import finding, note, report
from topo.cli.check import command, status_of
from topo.errors import Problem, RigFileError
from topo.report.compose import Report


@pytest.fixture
def checked(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """What the pipeline answers: put a report or an error in."""
    answer: list[object] = []

    def check_file(path: str) -> Report:
        found = answer[0]
        if isinstance(found, Exception):
            raise found
        assert isinstance(found, Report)
        return found

    monkeypatch.setitem(sys.modules, "topo.pipeline", SimpleNamespace(check_file=check_file))
    # click keeps what it made of a command's help, and the command alone does not know the group's -h.
    monkeypatch.setattr(command, "_help_option", None)
    return answer


@pytest.mark.parametrize(("severities", "troubled", "expected"), [
    ((), False, {"fault": 0, "risk": 0, "note": 0, "never": 0}),
    (("note",), False, {"fault": 0, "risk": 0, "note": 1, "never": 0}),
    (("note", "risk"), False, {"fault": 0, "risk": 1, "note": 1, "never": 0}),
    (("fault",), False, {"fault": 1, "risk": 1, "note": 1, "never": 0}),
    (("risk",), True, {"fault": 3, "risk": 1, "note": 1, "never": 3}),
])
def test_exit_statuses(severities: tuple[str, ...], troubled: bool, expected: dict[str, int]) -> None:
    found = [finding(name=f"n{i}", severity=severity) for i, severity in enumerate(severities)]
    of = report(*found, troubles=("x failed",) if troubled else ())
    assert {fail_on: status_of(of, fail_on) for fail_on in expected} == expected


def test_text_and_width(checked: list[object]) -> None:
    checked.append(report(finding()))
    done = CliRunner().invoke(command, ["rig.yaml", "--width", "60"])
    assert done.exit_code == 0
    assert done.stdout.startswith("RISK       Usable, but 1 thing may go wrong: 1 risk.\n")
    assert max(map(len, done.stdout.splitlines())) <= 60
    assert done.stderr == ""


def test_json_is_one_ascii_object(checked: list[object]) -> None:
    checked.append(report(finding(message="導\u202e"), note()))
    done = CliRunner().invoke(command, ["rig.yaml", "--json", "--fail-on", "risk"])
    assert done.exit_code == 1
    assert done.stdout.isascii()
    produced = json.loads(done.stdout)
    assert produced["format"] == "topo.check.1"
    assert produced["findings"][0]["message"] == "導\u202e"


def test_errors_are_left_to_the_group(checked: list[object]) -> None:
    checked.append(RigFileError((Problem("rig.yaml", 3, 1, "wrong"),)))
    done = CliRunner().invoke(command, ["rig.yaml"])
    assert isinstance(done.exception, RigFileError)
    assert done.stdout == ""


@pytest.mark.parametrize("arguments", [[], ["rig.yaml", "--fail-on", "maybe"], ["rig.yaml", "--width", "0"],
                                       ["rig.yaml", "--width", "wide"], ["rig.yaml", "more.yaml"]])
def test_wrong_arguments(checked: list[object], arguments: list[str]) -> None:
    assert CliRunner().invoke(command, arguments).exit_code == 2
