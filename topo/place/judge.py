"""Judging a proposal by doing it: the whole rig computed again with all that is done, and every check run on it.

A judge belongs to one rig. What it has computed it keeps, so that the same proposal costs nothing the second time, and
it counts its work once for all who ask: `may_try_more` says when enough was done.
"""

from __future__ import annotations

from dataclasses import field
from functools import cached_property
from typing import TYPE_CHECKING

from topo.errors import CommandError
from topo.frozen import frozen, replace
from topo.model.change import MovePlug, Proposal, SwapPlugs
from topo.model.finding import AnyFinding, Finding, Plan
from topo.place.consequence import gone_findings, impossible, key_of, new_findings
from topo.place.price import loss, prices
from topo.place.remembered import After, Remembered
from topo.place.slower import made_slower
from topo.wiring.apply import apply

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from topo.analysis.study import Study
    from topo.model.change import Change
    from topo.model.rig import Rig
    from topo.place.consequence import Consequence
    from topo.place.examiner import Examiner
    from topo.wiring.topology import Topology

MOST_WORK = 20_000
"""Work (`remembered.py`) past which no more is tried and the rest is left to `topo rewire`: 80 rigs of 15 parts on one
controller, two of 100, and as many as that of one controller of a larger rig."""


@frozen(slots=False)
class Judged:
    """A proposal that can be done, with the rig after it, computed as far as somebody asks: most are only counted."""

    proposal: Proposal
    rig_after: After
    by: Judge = field(compare=False, repr=False)

    @cached_property
    def counted(self) -> tuple[AnyFinding, ...]:
        """The faults and risks after it."""
        return (*self.rig_after.telling(), *(finding for finding in self.by.seen if finding.severity != "note"))

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """All that is found after it."""
        return (*self.rig_after.findings, *self.by.seen)

    @cached_property
    def plan(self) -> Plan:
        """All of it, for who reads it."""
        return Plan(
            self.proposal,
            clears=gone_or_milder(self.by.findings, self.findings),
            leaves=tuple(finding for finding in self.findings if finding.severity != "note"),
            brings=new_findings(self.by.findings, self.findings),
            price=self.price,
            eased=left_as_notes(self.by.findings, self.findings),
        )

    @cached_property
    def price(self) -> tuple[str, ...]:
        """What the pictures lose by it."""
        return prices(self.by.study, self.rig_after)

    @cached_property
    def loss(self) -> float:
        """All that pictures lose by it, in one figure (`price.py`)."""
        return loss(self.by.study, self.rig_after) if self.price else 0.0

    def clears(self, finding: Finding) -> bool:
        """Whether one of the findings before it is among those that its plan clears."""
        if finding.severity == "note":
            return key_of(finding) in map(key_of, self.plan.clears)
        return key_of(finding) not in map(key_of, self.counted)

    def eases(self, finding: Finding) -> bool:
        """Whether it leaves a risk of a fault."""
        left = {each.severity for each in self.counted if key_of(each) == key_of(finding)}
        return finding.severity == "fault" and left == {"risk"}

    @property
    def study(self) -> Study:
        """The whole rig with it done."""
        return self.rig_after.study

    @property
    def consequence(self) -> Consequence:
        """What the rig comes to with it done."""
        return self.rig_after.consequence

    @cached_property
    def left(self) -> tuple[int, int]:
        """Faults and risks after it."""
        severities = [finding.severity for finding in self.counted]
        return severities.count("fault"), severities.count("risk")


class Judge:
    """Computes proposals on one rig with the findings it has now, worst first."""

    def __init__(
        self, study: Study, findings: tuple[Finding, ...], examiner: Examiner, pinned: frozenset[str] = frozenset(),
        kept: Remembered | None = None, until: float | None = None,
    ) -> None:
        """`until` is the work of `kept` past which no more is tried, `MOST_WORK` where nobody says."""
        self.study, self.findings, self.examiner, self.pinned = study, findings, examiner, pinned
        self.until = MOST_WORK if until is None else until
        self.kept = Remembered(study, examiner) if kept is None else kept
        # What a scan or a log saw cannot be computed again: it stays whatever is changed.
        self.seen = tuple(finding for finding in findings if examiner.one(finding.name) is None)
        self._afters: dict[tuple[object, ...], After | None] = {}
        self._judged: dict[tuple[object, ...], Judged | None] = {}
        self._stays: set[object] = set()
        self._ways: dict[tuple[object, str], tuple[Proposal, ...]] = {}
        self.least: dict[int, tuple[Finding, Judged | None]] = {}
        """What `first.least_way` found for each finding."""
        severities = [finding.severity for finding in findings]
        self.now = severities.count("fault"), severities.count("risk")

    def ways(self, make: Callable[[Topology, str], Iterable[Proposal]], name: str) -> tuple[Proposal, ...]:
        """What can be done with one part, made once for all findings that ask."""
        key = make, name
        if key not in self._ways:
            self._ways[key] = tuple(make(self.study.topology, name))
        return self._ways[key]

    @property
    def may_try_more(self) -> bool:
        """False once so much was computed that the rest is left to `topo rewire`."""
        return self.kept.work <= self.until

    def after(self, proposal: Proposal) -> After | None:
        """The rig with a proposal done; None where it cannot be done or makes a device slower."""
        key = proposal.steps
        if key not in self._afters:
            self._afters[key] = self._after(proposal)
        return self._afters[key]

    def _after(self, proposal: Proposal) -> After | None:
        after = self.made(proposal)
        return None if after is None or made_slower(self.study.topology, after.topology) else after

    def made(self, proposal: Proposal) -> After | None:
        """The rig with a proposal done, whatever becomes slower by it; None where it cannot be done."""
        if self.pinned and any(name in self.pinned for step in proposal.steps for name in moved(step)):
            return None
        try:
            return self.kept.of(done(self.study.rig, proposal))
        except CommandError:
            return None

    def would_clear(self, proposal: Proposal, finding: Finding) -> bool:
        """Whether a finding is gone, or only a note, with a proposal done: asked of its own check alone."""
        return self.examiner.one(finding.name) is not None and self._would_clear(proposal, finding, self.after)

    def would_clear_somehow(self, proposal: Proposal, finding: Finding) -> bool:
        """The same whatever becomes slower by it."""
        return self._would_clear(proposal, finding, self.made)

    def _would_clear(self, proposal: Proposal, finding: Finding, made: Callable[[Proposal], After | None]) -> bool:
        alike = self._alike(proposal, finding)
        if alike in self._stays or (after := made(proposal)) is None:
            return False
        if after.still_has(finding):
            self._stays |= set() if alike is None else {alike}
            return False
        return self.clears(after, finding)

    def _alike(self, proposal: Proposal, finding: Finding) -> object:
        """What ways have alike that bring one part that a finding names into sockets of one part that differ in nothing
        but their name, and pull no other plug on the ways of those that it names; None for others. What has the finding
        still by what it names alone has it still in each of them."""
        step = proposal.steps[0]
        if len(proposal.steps) > 1 or not isinstance(step, SwapPlugs | MovePlug):
            return None
        topology = self.study.topology
        ways = {leg.part for name in (finding.part, *finding.others) for leg in topology.path(name)}
        if isinstance(step, MovePlug):
            name, above, socket = step.part, step.to_part, step.to_socket
        else:
            name, other = (step.part, step.other) if step.part in ways else (step.other, step.part)
            leg = topology.leg(other)
            if other in ways or leg is None:
                return None
            above, socket = leg.above, leg.socket.name
        there = topology.part(above).socket(socket)
        if name not in ways or there is None or name in {leg.part for leg in topology.path(above)}:
            return None
        return key_of(finding), finding.severity, name, above, replace(there, name="")

    def clears(self, after: After, finding: Finding) -> bool:
        """Whether a finding is gone from a changed rig, or only a note there. What a scan or a log saw never is."""
        if self.examiner.one(finding.name) is None or after.surely_has(finding):
            return False
        near = after.near(finding.name, finding.part)
        return _milder(finding, (near.found if finding.severity == "note" else near.glimpsed)(finding.name))

    def judge(self, proposal: Proposal) -> Judged | None:
        """All of a proposal; None where it cannot be done, or what it brings makes it advice that can't be followed."""
        key = proposal.steps
        if key not in self._judged:
            self._judged[key] = self._judge(proposal)
        return self._judged[key]

    def _judge(self, proposal: Proposal) -> Judged | None:
        after = self.after(proposal)
        if after is None:
            return None
        after.pay()
        judged = Judged(proposal, after, self)
        return None if impossible(self.findings, judged.counted) else judged

    def helps(self, judged: Judged) -> bool:
        """Whether a rig is better for it: fewer faults, or as many and fewer risks."""
        return judged.left < self.now

    def harmless(self, judged: Judged) -> bool:
        """Whether it brings no fault, and no risk unless it takes a fault away."""
        worst = {finding.severity for finding in new_findings(self.findings, judged.counted)}
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


def left_as_notes(before: tuple[Finding, ...], after: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Faults and risks of which a note is left, and no more."""
    still = set(map(key_of, after))
    return tuple(f for f in gone_or_milder(before, after) if key_of(f) in still)


def _milder(finding: Finding, after: Iterable[AnyFinding]) -> bool:
    left = [other.severity for other in after if key_of(other) == key_of(finding)]
    return not left or (finding.severity != "note" and all(severity == "note" for severity in left))
