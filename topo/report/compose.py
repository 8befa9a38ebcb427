"""From a study and its findings to a report: everything in its order, ready to be told in text or JSON."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.finding import Finding, Verdict, in_order, verdict
from topo.report.assumed import assumptions

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import Plan
    from topo.place.judge import Judge


@frozen
class Report:
    """All there is to tell of a rig.

    `findings` come worst first. `troubles` are plugins and checks that failed, in words; `assumptions` what the
    figures rest on that nobody declared, each once, in words that are safe to print. `first` is what to do first, None
    where nothing computed helps. `judge` computed the advice, for whoever looks for further plans: it has computed much
    of them already.
    """

    rig: str
    file: str
    verdict: Verdict
    findings: tuple[Finding, ...]
    study: Study
    first: Plan | None = None
    troubles: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    judge: Judge | None = field(default=None, compare=False, repr=False)


def compose(
    study: Study, findings: Iterable[Finding], first: Plan | None, troubles: Iterable[str] = (),
    judge: Judge | None = None,
) -> Report:
    """The report of a study: findings worst first, and what to do first."""
    ordered = in_order(findings)
    return Report(
        rig=study.rig.name, file=study.rig.file, verdict=verdict(ordered), findings=ordered, study=study,
        first=first,
        troubles=tuple(dict.fromkeys(troubles)), assumptions=assumptions(study), judge=judge,
    )
