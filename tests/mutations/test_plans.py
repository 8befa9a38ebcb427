"""What `tests/place/` holds on many rigs at a time, on one small rig at a time: quick enough for planted mistakes.

Frontiers against brute force, studies of what changed against studies from nothing, plans as a person carries them out.
"""

from __future__ import annotations

import random

import pytest

from tests.place.brute_frontier import TooMany
from tests.place.frontiers import differences
from tests.place.random_rigs import EXAMINER, random_text, rig_from, whole_text
from tests.place.test_advice_is_true import every_plan_holds, holds
from tests.place.test_remembered import changes, told
from topo.analysis.study import Study
from topo.errors import CommandError
from topo.model.finding import in_order
from topo.pipeline import examiner
from topo.place.consequence import consequence
from topo.place.frontier import frontier
from topo.place.remembered import Remembered
from topo.wiring.apply import apply


@pytest.mark.parametrize("seed", range(600, 612))
def test_one_change_by_brute_force(seed: int) -> None:
    try:
        assert differences(rig_from(whole_text(seed, 3)), 1, 120) == (set(), set())
    except TooMany:
        pytest.skip("too many for a quick look")


@pytest.mark.parametrize("seed", range(700, 712))
def test_one_change_the_short_way_and_the_long(seed: int) -> None:
    pick = random.Random(f"one {seed}")
    rig = rig_from(whole_text(seed, 4))
    kept = Remembered(Study(rig), EXAMINER)
    for _ in range(4):
        try:
            after = apply(rig, changes(pick, rig))
            short = kept.of(after)
        except CommandError:
            continue
        long = Study(after)
        findings = EXAMINER(long)
        assert told(short.findings) == told(findings)
        assert short.devices == long.devices and short.consequence == consequence(long, findings)


@pytest.mark.parametrize("seed", range(800, 812))
def test_what_is_advised_holds_as_it_is_carried_out(seed: int) -> None:
    text = random_text(seed, 4)
    every_plan_holds(text)
    study = Study(rig_from(text))
    for judged in frontier(study, in_order(examiner()(study)), examiner(), most_moves=1).plans:
        holds(text, judged.plan)
