"""Every check gives the findings its cases say: at least one rig it leaves alone and one it catches."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import pytest

from topo.analysis.study import Study
from topo.chase.symptoms import SYMPTOMS
from topo.checks import MODULES, all_checks
from topo.live.recording import read_scan
from topo.model.answers import DeclaredTimes
from topo.model.check import Case, Check
from topo.model.finding import SEVERITIES, Finding
from topo.pipeline import compare_study, evidence_study, examine_text, rig_of
from topo.rigfile.read import read_text

CHECKS = all_checks()

VERB = re.compile(
    r"\b(is|are|was|has|have|had|shows?|says?|allows|stays|keeps?|holds|feels|come|do|answers|answered|connects|names|"
    r"binds|took|uses|accepts|lists|waits|counts|stream|shrinks|pulls|changes|arrive|line up|expose|runs|opens)\b")
"""What would prove a finding wrong stands after `wrong if`: it needs one of these."""

NOTHING_TESTS = (
    "wire-not-fused", "fuse-does-not-protect", "short-does-not-blow-fuse", "exposure-unlikely", "may-be-probed",
    "not-allowed", "another-camera-taken",
)
"""Findings that can be no more than possible and that no command of ours and no meter tests: markings and settings to
be read, and what nobody should try."""


@pytest.mark.parametrize(
    ("check", "case"),
    [(check, case) for check in CHECKS for case in check.cases],
    ids=lambda value: getattr(value, "name", None),
)
def test_case(check: Check, case: Case, tmp_path: Path) -> None:
    if check.needs == "comparison":
        study = Study(rig_of(read_text(case.rig, "rig.yaml")))
        found = compare_study(study, read_scan(case.scan)).report.findings
    elif check.needs == "evidence":
        found = evidence_findings(case, tmp_path)
    else:
        found = examine_text(case.rig).findings
    findings = [finding for finding in found if finding.name == check.name]
    assert len(findings) == case.findings, [finding.message for finding in findings]
    for finding in findings:
        assert finding.severity in check.severities
        assert finding.message and finding.refuted_by and finding.fix is not None
        assert finding.place.line > 0
        assert VERB.search(finding.refuted_by), f"'wrong if {finding.refuted_by}' is no sentence"
        assert finding.tested_by == (check.tested_by if finding.certainty == "possible" else "")
        assert finding.certainty == "certain" or check.tested_by or check.name in NOTHING_TESTS


def evidence_findings(case: Case, folder: Path) -> tuple[Finding, ...]:
    """What the checks of evidence find in the files of a case."""
    names = []
    for number, text in enumerate(case.evidence):
        (folder / f"{number}.txt").write_text(text, encoding="utf-8")
        names.append(str(folder / f"{number}.txt"))
    report = evidence_study(Study(rig_of(read_text(case.rig, "rig.yaml"))), names, DeclaredTimes()).report
    assert report is not None
    return report.findings


@pytest.mark.parametrize("check", [check for check in CHECKS if check.tested_by], ids=lambda check: check.name)
def test_what_tests_a_finding_exists(check: Check) -> None:
    """Each command named is one of ours, with the options it is named with and a symptom that `topo chase` knows."""
    for command in re.findall(r"`topo ([^`]+)`", check.tested_by):
        name, *rest = command.split()
        known = importlib.import_module(f"topo.cli.{name}").command
        options = {flag for parameter in known.params for flag in parameter.opts}
        assert {word for word in rest if word.startswith("--")} <= options, command
        if "--symptom" in rest:
            assert rest[rest.index("--symptom") + 1] in {symptom.name for symptom in SYMPTOMS}
    assert "`topo " in check.tested_by or "meter" in check.tested_by


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.name)
def test_has_a_clean_and_a_caught_case(check: Check) -> None:
    counts = [case.findings for case in check.cases]
    assert 0 in counts and any(counts)
    assert check.explanation and "Wrong if" in check.explanation
    assert all(severity in SEVERITIES for severity in check.severities)


def test_one_file_is_named_for_one_finding() -> None:
    assert [check.name.replace("-", "_") for check in CHECKS] == [module.split(".")[1] for module in MODULES]
