"""The rules for checks: cases that prove them, text that explains them, findings a person can act on and refute."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from topo.errors import TopoError
from topo.plugin.guard import run_check

if TYPE_CHECKING:
    from topo.model.check import Case, Check
    from topo.model.finding import Finding

StudyOf = Callable[[str], Any]
"""Reads and studies the text of a rig file. Raises TopoError."""


def check_breaches(check: Check, study_of: StudyOf) -> Iterator[str]:
    """Every breach of one check, in words."""
    for breach in (*_words(check), *_enough_cases(check)):
        yield f"check {check.name}: {breach}"
    if check.needs == "study":
        for case in check.cases:
            for breach in _case(check, case, study_of):
                yield f"check {check.name}, case '{case.name}': {breach}"


def _words(check: Check) -> Iterator[str]:
    if len(check.summary) > 100 or "\n" in check.summary:
        yield "its summary is not one line of at most 100 characters"
    if "Wrong if" not in check.explanation:
        yield "its explanation does not say what would refute it (a line that begins with 'Wrong if')"


def _enough_cases(check: Check) -> Iterator[str]:
    if check.needs != "study":
        return
    counts = [case.findings for case in check.cases]
    if 0 not in counts:
        yield "it has no case that it leaves alone (findings=0)"
    if not any(counts):
        yield "it has no case that it catches"


def _case(check: Check, case: Case, study_of: StudyOf) -> Iterator[str]:
    try:
        study = study_of(case.rig)
    except TopoError as error:
        yield f"its rig cannot be read: {error}"
        return
    findings, trouble = run_check(check, study)
    if trouble is not None:
        yield trouble.what
    if len(findings) != case.findings:
        yield f"it should give {case.findings} findings and gives {len(findings)}"
    for finding in findings:
        yield from _finding(finding)
    if run_check(check, study)[0] != findings:
        yield "it gives other findings when it runs again"


def _finding(finding: Finding) -> Iterator[str]:
    if not finding.refuted_by.strip():
        yield "a finding does not say what would refute it"
    if finding.fix is None or not finding.fix.text.strip():
        yield "a finding does not say what to do"
    if finding.place.line <= 0:
        yield "a finding has no line in the rig file"
    if any(figure.unit == "" and isinstance(figure.value, float) and not 0 <= figure.value <= 1
           for figure in finding.figures):
        yield "a figure has no unit and is neither a count nor a share"


def digest_of_findings(check: Check, study_of: StudyOf) -> str:
    """A digest of all findings of all cases, to compare between runs."""
    told = []
    for case in check.cases if check.needs == "study" else ():
        try:
            told.append(repr(run_check(check, study_of(case.rig))[0]))
        except TopoError as error:
            told.append(type(error).__name__)
    return hashlib.sha256("\n".join(told).encode("utf-8", "backslashreplace")).hexdigest()
