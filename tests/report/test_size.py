"""How much is said: a pier of fifteen devices on two screens, an observatory of sixty on four, and nothing is lost."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.report.large_rigs import PIER, observatory
from topo.pipeline import examine_text
from topo.report.compose import Report
from topo.report.lines import text_of
from topo.report.text import report_lines

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*/rig.yaml"))


def lines(of: Report, whole: bool = False) -> list[str]:
    return [text_of(line) for line in report_lines(of, whole=whole)]


@pytest.mark.slow
@pytest.mark.parametrize(("text", "devices", "most"), [(PIER, 15, 110), (observatory(), 60, 180)],
                         ids=["pier", "observatory"])
def test_a_large_rig_is_told_shortly_and_in_full_on_request(text: str, devices: int, most: int) -> None:
    of = examine_text(text)
    assert len(of.study.devices) == devices
    short, full = lines(of), lines(of, whole=True)
    assert len(short) <= most
    assert len(full) > 1.9 * len(short)
    numbers = {int(found[1]) for line in full if (found := re.match(r"(?:FAULT|RISK|NOTE) (\d+)", line))}
    assert numbers == set(range(1, len(of.findings) + 1))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_an_example_is_told_in_under_130_lines(path: Path) -> None:
    of = examine_text(path.read_text(encoding="utf-8"))
    assert len(lines(of)) < 130
    for finding in of.findings:  # each fault and risk in its own words, unless another says the same of another part
        if finding.severity != "note":
            said = " ".join(" ".join(lines(of)).split())
            assert finding.message in said or f"{finding.part} (finding" in said or f", {finding.part}" in said
