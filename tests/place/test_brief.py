"""What the page looks for where one change is enough: nothing is lost by it but sets, which ask for more."""

from __future__ import annotations

import pytest

from tests.place.random_rigs import EXAMINER, random_text, rig_from
from tests.samples import share
from topo.analysis.study import Study
from topo.model.finding import in_order
from topo.place.frontier import Frontier, frontier
from topo.place.judge import Judged

BRIEF = (4, 6, 7, 9, 14, 16, 32, 39, 40, 41, 43, 52)
"""Of the first 60 random rigs some in which one change is enough."""

WHOLE = (0, 2, 8, 15, 19, 35)


def both(seed: int) -> tuple[Frontier, Frontier]:
    rig = rig_from(random_text(seed))
    briefly, whole = (
        frontier(study, in_order(EXAMINER(study)), EXAMINER, most_moves=2, briefly=briefly)
        for study, briefly in ((Study(rig), True), (Study(rig), False)))
    return briefly, whole


def told(plan: Judged) -> object:
    return plan.proposal.steps, plan.left, plan.price


@pytest.mark.parametrize("seed", share(BRIEF, 4))
def test_only_sets_are_left_out(seed: int) -> None:
    briefly, whole = both(seed)
    assert briefly.is_brief and not whole.is_brief
    assert told(briefly.plans[0]) == told(whole.plans[0]), "what comes first"
    mine = [told(plan) for plan in briefly.plans]
    assert all(each in [told(plan) for plan in whole.plans] for each in mine), "nothing else is told for it"
    missing = [plan for plan in whole.plans if told(plan) not in mine]
    assert all(len(plan.proposal.steps) > 1 for plan in missing)
    assert min(plan.left for plan in briefly.plans) == min(plan.left for plan in whole.plans)


@pytest.mark.parametrize("seed", share(WHOLE, 2))
def test_where_one_change_is_not_enough_all_is_searched(seed: int) -> None:
    briefly, whole = both(seed)
    assert not briefly.is_brief
    assert [told(plan) for plan in briefly.plans] == [told(plan) for plan in whole.plans]
