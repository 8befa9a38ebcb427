"""The verdict on a rig in words, for terminal, page, picture and post: what to expect, and how much was found."""

from __future__ import annotations

from collections.abc import Sequence

from topo.model.finding import SEVERITIES, Finding, verdict
from topo.words.lists import counted

NOTHING_FOUND = "Fit for the night: nothing found."
NOT_ALL_CHECKED = "Nothing found, but not all was checked."


def verdict_words(findings: Sequence[Finding], all_checked: bool = True) -> str:
    """One line for the whole rig: `Usable, but 2 things may go wrong: 2 risks, 5 notes.`"""
    worst = verdict(tuple(findings))
    if worst == "clear":
        return NOTHING_FOUND if all_checked else NOT_ALL_CHECKED
    certain = any(each.certainty == "certain" for each in findings if each.severity == worst)
    risks = sum(each.severity == "risk" for each in findings)
    words = {"fault": "Expect trouble" if certain else "Trouble possible",
             "risk": f"Usable, but {counted(risks, 'thing')} may go wrong",
             "note": "Fit for the night"}[worst]
    return f"{words}: {by_severity(findings)}"


def by_severity(findings: Sequence[Finding]) -> str:
    """The findings by severity: `1 fault, 2 risks.`; empty where there is none."""
    counts = [(sum(finding.severity == severity for finding in findings), severity) for severity in SEVERITIES]
    said = ", ".join(counted(count, severity) for count, severity in counts if count)
    return f"{said}." if said else ""
