"""A step as plain values for JSON, after `chase.schema.json`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from topo.chase.ending import Alike, ranked
from topo.chase.follow import Branch, ChaseStep, fixes_of
from topo.chase.score import Prospect


def chase_json(step: ChaseStep, remedies: Sequence[str] = ()) -> dict[str, Any]:
    """The body of `topo.chase.1`. Chances are rounded to 4 digits, minutes to 2. `remedies` are fixes of checks."""
    return {
        "rig": step.rig.name,
        "symptoms": [symptom.name for symptom in step.symptoms],
        "at": list(step.victims),
        "every": {"said": step.rhythm.said, "assumed": not step.said.every,
                  "mean_minutes": round(step.rhythm.interval, 2), "wait_95_minutes": round(step.rhythm.wait(), 2)},
        "have": list(step.said.have),
        "told": list(step.said.told),
        "answers": [
            {"test": answer.test, "outcome": answer.outcome, "minutes": round(answer.minutes, 2)}
            for answer in step.answers
        ],
        "suspects": [_group(step, group, chance) for group, chance in ranked(step.belief)],
        "test": None if step.choice.option is None else _test(step, step.choice.option),
        "ending": _ending(step, remedies),
        "tests": [{"test": test.key, "words": test.words, "outcomes": list(test.outcomes)} for test in step.case.tests],
    }


def _group(step: ChaseStep, group: Alike, chance: float) -> dict[str, Any]:
    return {
        "chance": round(chance, 4),
        "suspects": [
            {"key": step.case.suspects[i].key, "kind": step.case.suspects[i].kind, "piece": step.case.suspects[i].piece,
             "words": step.case.suspects[i].words}
            for i in group
        ],
    }


def _test(step: ChaseStep, option: Prospect) -> dict[str, Any]:
    test = step.case.tests[option.number]
    return {
        "test": test.key, "words": test.words, "caution": test.caution, "touches": test.effort,
        "needs": list(test.needs), "watch": list(test.watch), "wait_minutes": round(option.wait, 2),
        "minutes": round(option.cost, 2), "bits": round(option.bits, 4), "exact": step.choice.exact,
        "outcomes": [_branch(step, branch) for branch in step.branches],
    }


def _branch(step: ChaseStep, branch: Branch) -> dict[str, Any]:
    return {
        "outcome": branch.outcome, "chance": round(branch.chance, 4),
        "leaves": [_group(step, group, chance) for group, chance in branch.left if chance >= 0.01],
    }


def _ending(step: ChaseStep, remedies: Sequence[str]) -> dict[str, Any] | None:
    end = step.ended
    if end is None:
        return None
    return {
        "named": end.named, "chance": round(end.chance, 4),
        "suspects": [step.case.suspects[i].key for group in end.groups for i in group],
        "fixes": [fix for group in end.groups for fix in fixes_of(step.case, group)]
        + list(remedies),
        "borrow": list(step.borrow),
        "further": None if step.choice.further is None else step.case.tests[step.choice.further.number].key,
    }
