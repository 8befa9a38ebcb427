"""From a study and its findings to a report: everything in its order, ready to be told in text or JSON."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from topo.model.finding import SEVERITIES, Finding, Verdict, verdict
from topo.report.assumed import assumptions

if TYPE_CHECKING:
    from topo.analysis.study import Study


@dataclass(frozen=True, slots=True)
class Report:
    """All there is to tell of a rig.

    `findings` come worst first. `troubles` are plugins and checks that failed, in words; `assumptions` what the
    figures rest on that nobody declared, each once, in words that are safe to print.
    """

    rig: str
    file: str
    verdict: Verdict
    findings: tuple[Finding, ...]
    study: Study
    troubles: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()


def compose(study: Study, findings: Iterable[Finding], troubles: Iterable[str] = ()) -> Report:
    """The report of a study: findings by severity, then certainty, then their place in the file."""
    ordered = tuple(sorted(findings, key=_order))
    return Report(
        rig=study.rig.name, file=study.rig.file, verdict=verdict(ordered), findings=ordered, study=study,
        troubles=tuple(dict.fromkeys(troubles)), assumptions=assumptions(study),
    )


def _order(finding: Finding) -> tuple[int, bool, str, int, int, str, str]:
    place = finding.place
    return (SEVERITIES.index(finding.severity), finding.certainty != "certain", place.file, place.line, place.column,
            finding.name, finding.part)
