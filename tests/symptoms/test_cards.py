"""The page of symptoms names what exists, and each card's first cause is found on a rig and left alone on another."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.checks.test_cases import evidence_findings
from tests.symptoms.cards import CARDS
from topo.analysis.study import Study
from topo.chase.symptoms import SYMPTOM_OF
from topo.checks import all_checks
from topo.cli.main import COMMANDS
from topo.live.recording import read_scan
from topo.model.check import Case, Check
from topo.model.finding import Finding
from topo.pipeline import compare_study, examine_text, rig_of
from topo.rigfile.read import read_text

PAGE = (Path(__file__).resolve().parents[2] / "examples" / "symptoms.md").read_text(encoding="utf-8")
CHECKS: dict[str, Check] = {check.name: check for check in all_checks()}
PARTS = re.findall(r"^### (T\d\d) (.+)\n((?:- .+\n)+)", PAGE, flags=re.MULTILINE)
KEYS = {"must_not_sleep", "queued_frames", "ready_after_s", "after", "picks:", "sits:"}
"""Keys of the rig file that the page names."""


def test_there_are_twenty_eight() -> None:
    numbers = [number for number, _, _ in PARTS]
    assert numbers == [f"T{n:02d}" for n in range(1, 29)] == list(CARDS)


@pytest.mark.parametrize("number", CARDS)
def test_a_card_names_what_exists(number: str) -> None:
    """Four lines; each name in backticks is a command, a finding or a key; each card names its own finding."""
    words = next(body for name, _, body in PARTS if name == number)
    assert re.findall(r"^- (\w+):", words, flags=re.MULTILINE) == ["computes", "reads", "asks", "advises"]
    named = re.findall(r"`([^`]+)`", words)
    for name in named:
        if name.startswith("topo "):
            assert name.split()[1] in COMMANDS, name
        else:
            assert name in CHECKS or name in KEYS or re.fullmatch(r"\w+: \{\w+: …\}", name), name
    assert CARDS[number].finding in named
    for symptom in re.findall(r"`topo chase`, ([a-z-]+)", words):
        assert symptom in SYMPTOM_OF


def found(check: Check, case: Case, folder: Path) -> list[Finding]:
    """What the whole of topo finds in a case, not its own check alone; the checked kind only."""
    if check.needs == "evidence":
        findings = evidence_findings(case, folder)
    elif check.needs == "comparison":
        findings = compare_study(Study(rig_of(read_text(case.rig, "rig.yaml"))), read_scan(case.scan)).report.findings
    else:
        findings = examine_text(case.rig).findings
    return [finding for finding in findings if finding.name == check.name]


@pytest.mark.parametrize("number", CARDS)
def test_the_first_cause_is_found_and_the_near_miss_left_alone(number: str, tmp_path: Path) -> None:
    card = CARDS[number]
    check = CHECKS[card.finding]
    cases = {case.name: case for case in check.cases}

    def told(which: str | Case) -> list[Finding]:
        case = cases[which] if isinstance(which, str) else which
        return [f for f in found(check, case, tmp_path) if card.part in (None, f.part)
                and card.says in f.message + (f.fix.text if f.fix is not None else "")]

    assert told(card.caught), number
    assert not told(card.left), number


def test_the_keys_it_names_are_keys() -> None:
    from topo.rigfile.jsonschema import json_schema

    text = str(json_schema())
    assert all(f"'{key.rstrip(':')}'" in text for key in KEYS)
    for section, key in re.findall(r"`(\w+): \{(\w+): …\}`", PAGE):
        assert f"'{section}'" in text and f"'{key}'" in text
