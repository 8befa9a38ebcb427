"""Where a rig is so large that `check` leaves ways untried, it says so in one line, and not where all was tried; and
`rewire` prints the cautions of power wherever it speaks of it."""

from __future__ import annotations

import json
from pathlib import Path
from unittest.mock import patch

import pytest
from click.testing import CliRunner

from tests.bench.family import family
from topo.cli.main import main
from topo.model.cautions import CAUTIONS
from topo.pipeline import check_file
from topo.report.lines import text_of
from topo.report.text import report_lines

LINE = "On a rig of this size not every way against"

STARVED = """\
rig: A hub that gives too little
computer: {ports: {usb3-1: {speed: super}, usb3-2: {speed: super}}}
hubs:
  hub: {speed: super, ports: 4, powered: false, plug: computer/usb3-1}
devices:
  one: {speed: super, bus_ma: 800, plug: hub/1}
  other: {speed: super, bus_ma: 800, plug: hub/2}
"""


def told(path: Path) -> str:
    return "\n".join(text_of(line) for line in report_lines(check_file(str(path)), 200))


@pytest.mark.parametrize("most", [0.0, 1e9])
def test_it_says_what_it_leaves(tmp_path: Path, most: float) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(family(25))
    with patch("topo.place.judge.MOST_WORK", most):
        text = told(path)
    assert "FAULT" in text and text.count(LINE) == (most == 0.0)
    assert (f"`topo rewire {path}` tries more." in text) == (most == 0.0)


@pytest.mark.parametrize("most", [0.0, 1e9])
def test_the_same_for_programs(tmp_path: Path, most: float) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(family(25))
    with patch("topo.place.judge.MOST_WORK", most):
        shown = CliRunner().invoke(main, ["check", str(path), "--json"]).output
    findings = json.loads(shown)["findings"]
    left = [each["name"] for each in findings if each["untried"]]
    assert bool(left) == (most == 0.0)
    assert all(each["after_fix"] is None for each in findings if each["untried"])


def test_cautions_wherever_rewire_speaks_of_power(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(STARVED)
    shown = CliRunner().invoke(main, ["rewire", str(path)]).output
    assert "port-current-exceeded" in shown
    assert shown.count("On power:") == 1 and " ".join(shown.split()).count(CAUTIONS[0]) == 1
    path.write_text(STARVED.replace(", bus_ma: 800", ""))
    assert "On power:" not in CliRunner().invoke(main, ["rewire", str(path)]).output
