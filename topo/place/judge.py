"""Judging a proposal by doing it: the whole rig computed again with all that is done, and every check run on it.

A judge belongs to one rig. What it has computed it keeps, so that the same proposal costs nothing the second time, and
it counts its work once for all who ask: `may_try_more` says when enough was done.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from topo.analysis.study import Study
from topo.errors import CommandError
from topo.frozen import frozen
from topo.model.change import MovePlug, Proposal, SetLead, SetSupply, SwapPlugs
from topo.model.finding import Finding, Plan
from topo.place.consequence import IMPOSSIBLE, Consequence, consequence, gone_findings, key_of, new_findings
from topo.place.price import prices
from topo.place.slower import made_slower
from topo.wiring.apply import apply

if TYPE_CHECKING:
    from topo.model.change import Change
    from topo.model.rig import Rig
    from topo.place.examiner import Examiner

MOST_JUDGED = 150_000
"""Proposals computed times devices squared, past which no more are tried: 600 of 15 devices, 40 of 60. One
that every check is run on counts as several."""

EVERY_CHECK = 4
"""What running every check costs beside building a study, about."""


@frozen(slots=False)
class Judged:
    """A proposal that can be done, with the rig after it and what was found there."""

    proposal: Proposal
    study: Study
    findings: tuple[Finding, ...]
    plan: Plan
    consequence: Consequence

    @cached_property
    def left(self) -> tuple[int, int]:
        """Faults and risks after it."""
        severities = [finding.severity for finding in self.findings]
        return severities.count("fault"), severities.count("risk")


class Judge:
    """Computes proposals on one rig with the findings it has now, worst first."""

    def __init__(
        self, study: Study, findings: tuple[Finding, ...], examiner: Examiner, pinned: frozenset[str] = frozenset()
    ) -> None:
        self.study, self.findings, self.examiner, self.pinned = study, findings, examiner, pinned
        # What a scan or a log saw cannot be computed again: it stays whatever is changed.
        self.seen = tuple(finding for finding in findings if examiner.one(finding.name) is None)
        self.done = 0
        self._studies: dict[tuple[object, ...], Study | None] = {}
        self._judged: dict[tuple[object, ...], Judged | None] = {}
        self._asked: dict[tuple[str, tuple[object, ...]], tuple[Finding, ...]] = {}
        severities = [finding.severity for finding in findings]
        self.now = severities.count("fault"), severities.count("risk")

    @property
    def may_try_more(self) -> bool:
        """False once so much was computed that the rest is left to `topo rewire`."""
        return self.done * len(self.study.rig.devices) ** 2 <= MOST_JUDGED

    def after(self, proposal: Proposal) -> Study | None:
        """The rig with a proposal done; None where it cannot be done or makes a device slower."""
        key = proposal.steps
        if key not in self._studies:
            self._studies[key] = self._after(proposal)
            self.done += 1
        return self._studies[key]

    def _after(self, proposal: Proposal) -> Study | None:
        if self.pinned and any(name in self.pinned for step in proposal.steps for name in moved(step)):
            return None
        try:
            rig = done(self.study.rig, proposal)
            if all(isinstance(step, SetLead | SetSupply) for step in proposal.steps):
                return self.study.fed_otherwise(rig)
            study = Study(rig)
        except CommandError:
            return None
        return None if made_slower(self.study.topology, study.topology) else study

    def would_clear(self, proposal: Proposal, finding: Finding) -> bool:
        """Whether a finding is gone, or only a note, with a proposal done: asked of its own check alone."""
        check = self.examiner.one(finding.name)
        if check is None or (after := self.after(proposal)) is None:
            return False
        key = finding.name, proposal.steps
        if key not in self._asked:
            self._asked[key] = check(after)
        return _milder(finding, self._asked[key])

    def judge(self, proposal: Proposal) -> Judged | None:
        """All of a proposal; None where it cannot be done, or what it brings makes it advice that can't be followed."""
        key = proposal.steps
        if key not in self._judged:
            self._judged[key] = self._judge(proposal)
            self.done += EVERY_CHECK
        return self._judged[key]

    def _judge(self, proposal: Proposal) -> Judged | None:
        study = self.after(proposal)
        if study is None:
            return None
        findings = (*self.examiner(study), *self.seen)
        brings = new_findings(self.findings, findings)
        if any(finding.name in IMPOSSIBLE and finding.severity != "note" for finding in brings):
            return None
        plan = Plan(
            proposal,
            clears=gone_or_milder(self.findings, findings),
            leaves=tuple(finding for finding in findings if finding.severity != "note"),
            brings=brings,
            price=prices(self.study, study),
        )
        return Judged(proposal, study, findings, plan, consequence(study, findings))

    def helps(self, judged: Judged) -> bool:
        """Whether a rig is better for it: fewer faults, or as many and fewer risks."""
        return judged.left < self.now

    def harmless(self, judged: Judged) -> bool:
        """Whether it brings no fault, and no risk unless it takes a fault away."""
        worst = {finding.severity for finding in judged.plan.brings}
        return "fault" not in worst and ("risk" not in worst or judged.left[0] < self.now[0])


def moved(step: Change) -> tuple[str, ...]:
    """The parts whose plugs a step pulls."""
    if isinstance(step, SwapPlugs):
        return step.part, step.other
    return (step.part,) if isinstance(step, MovePlug) else ()


def done(rig: Rig, proposal: Proposal) -> Rig:
    """The rig after all steps. Raises CommandError where one cannot be done."""
    for step in proposal.steps:
        rig = apply(rig, step)
    return rig


def gone_or_milder(before: tuple[Finding, ...], after: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings that are gone, and faults and risks of which no more than a note is left."""
    gone = set(map(key_of, gone_findings(before, after)))
    return tuple(f for f in before if key_of(f) in gone or (f.severity != "note" and _milder(f, after)))


def _milder(finding: Finding, after: tuple[Finding, ...]) -> bool:
    left = [other.severity for other in after if key_of(other) == key_of(finding)]
    return not left or (finding.severity != "note" and all(severity == "note" for severity in left))
