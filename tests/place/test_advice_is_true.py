"""Advice is a promise: carried out on the text of the file and checked again, it does what was said, and no more.

Every piece of advice of every rig: the examples, the rigs of `told_rigs.py`, and random ones.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from tests.place.as_done import carried_out
from tests.place.random_rigs import random_text
from tests.place.told_rigs import BY_NAME
from tests.samples import share
from topo.analysis.study import Study
from topo.model.change import Proposal
from topo.model.finding import Finding, Plan, in_order
from topo.pipeline import examine_text, examiner, rig_of
from topo.place.frontier import frontier
from topo.rigfile.read import read_text

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*/rig.yaml"))
RANDOM = 300
CHUNK = 15
QUICK = ("refractor", "camera-with-hub", "planet", "spectrum", "chain")


def said(findings: tuple[Finding, ...]) -> set[tuple[str, str, str]]:
    return {(f.name, f.part, f.severity) for f in findings}


examined = cache(examine_text)


@cache
def found(text: str) -> tuple[Finding, ...]:
    """What every check finds, without advice."""
    return examiner()(Study(rig_of(read_text(text, "rig.yaml"))))


def holds(text: str, plan: Plan) -> None:
    """What was promised holds, and nothing comes unnamed."""
    before, after = found(text), found(carried_out(text, plan.proposal))
    now = said(after)
    worst = {(f.name, f.part) for f in after if f.severity != "note"}
    notes = {(f.name, f.part) for f in after}
    for finding in plan.clears:
        key = (finding.name, finding.part)
        assert key not in worst, (plan.proposal, finding.name)
        # Said to be gone, it is; said to be left as a note, it is one.
        assert (key in notes) == (plan.left_as(finding) == "note"), (plan.proposal, finding.name)
    assert set(plan.eased) <= set(plan.clears)
    assert {each for each in now if each[2] != "note"} == said(plan.leaves), plan.proposal
    had = said(before)
    rank = {"note": 0, "risk": 1, "fault": 2}
    for name, part, severity in now:
        old = [rank[s] for n, p, s in had if (n, p) == (name, part)]
        if not old or max(old) < rank[severity]:
            assert (name, part, severity) in said(plan.brings), (plan.proposal, name, part)


def every_plan_holds(text: str) -> int:
    report = examined(text)
    plans = [f.fix.plan for f in report.findings if f.fix is not None and f.fix.plan is not None]
    for finding in report.findings:
        if finding.fix is not None and finding.fix.plan is not None:
            cleared = {(f.name, f.part) for f in finding.fix.plan.clears}
            assert (finding.name, finding.part) in cleared or finding.fix.plan.left_as(finding) == "risk"
    plans += [report.first] if report.first is not None else []
    for plan in dict.fromkeys(plans):
        holds(text, plan)
    return len(plans)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_the_advice_of_an_example(path: Path) -> None:
    every_plan_holds(path.read_text())


@pytest.mark.parametrize("name", BY_NAME)
def test_the_advice_of_a_rig_as_people_own_them(name: str) -> None:
    every_plan_holds(BY_NAME[name])


@pytest.mark.parametrize("start", share(range(0, RANDOM, CHUNK), 2))
def test_the_advice_of_random_rigs(start: int) -> None:
    assert sum(every_plan_holds(random_text(seed)) for seed in range(start, start + CHUNK)) > 0


def first_entries(text: str) -> tuple[Proposal | None, Proposal | None]:
    """What `check` says to do first, and the first plan of `rewire`."""
    report, every = examined(text), examiner()
    study = Study(report.study.rig)
    # As the command does it: findings of a report have their advice already, and no offers any more.
    whole = frontier(study, in_order(every(study)), every, most_moves=1)
    return (report.first.proposal if report.first else None), (whole.plans[0].proposal if whole.plans else None)


@pytest.mark.parametrize("name", [*(path.parent.name for path in EXAMPLES), *BY_NAME])
def test_check_and_rewire_say_the_same_first(name: str) -> None:
    one, other = first_entries(BY_NAME.get(name) or (EXAMPLES[0].parents[1] / name / "rig.yaml").read_text())
    assert one == other


@pytest.mark.parametrize("start", share(range(0, 45, 5), 2))
def test_check_and_rewire_say_the_same_first_of_random_rigs(start: int) -> None:
    for seed in range(start, start + 5):
        one, other = first_entries(random_text(seed))
        assert one == other, seed


@pytest.mark.parametrize("name", QUICK)
def test_who_gave_the_advice_finds_the_same_plans(name: str) -> None:
    """The page asks on whoever judged the advice, and finds what is found from nothing."""
    report = examined(BY_NAME[name])
    study, every = Study(report.study.rig), examiner()
    anew = frontier(study, in_order(every(study)), every, most_moves=2)
    on = frontier(report.study, report.findings, every, most_moves=2, judge=report.judge)
    told = [[(each.proposal, said(each.plan.clears), said(each.plan.brings), each.left) for each in found.plans]
            for found in (on, anew)]
    assert told[0] == told[1] and told[0]


@pytest.mark.parametrize("start", share(range(0, 45, 5), 1))
def test_every_plan_of_the_frontier_holds(start: int) -> None:
    for seed in range(start, start + 5):
        text = random_text(seed)
        report = examined(text)
        whole = frontier(Study(report.study.rig), report.findings, examiner(), most_moves=2)
        for judged in whole.plans:
            holds(text, judged.plan)
