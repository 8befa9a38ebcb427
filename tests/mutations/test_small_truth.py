"""What planning remembers of a changed rig is what would be computed of it from nothing, and what it says of a plan is
so once the plan is carried out: in each small rig, of a few things of every kind that can be done. Nothing that is
tried by brute force there does better."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.mutations.small_rigs import NAMES
from tests.mutations.test_planning_rules import small
from tests.place.brute import brute
from tests.place.frontiers import differences
from tests.place.random_rigs import EXAMINER, every
from topo.analysis.study import Study
from topo.errors import CommandError
from topo.frozen import replace
from topo.model.change import Proposal
from topo.model.finding import Severity, in_order
from topo.model.rig import Rig
from topo.place.consequence import consequence, key_of
from topo.place.frontier import frontier
from topo.place.judge import Judge, done
from topo.place.planb import night_stops, plan_b
from topo.place.proposals import cables, card_for, hub_for, moves, powered_in_place, swaps
from topo.place.remembered import Remembered
from topo.place.search import rewire
from topo.place.settings import bounds
from topo.place.startlist import start_list, worth_saying

OF_A_KIND = 2


def proposals(study: Study) -> Iterator[Proposal]:
    """The first and the last of each kind."""
    topology = study.topology
    names = topology.wired[1:]
    kinds = (
        [each for name in names for each in moves(topology, name)],
        [each for name in names for each in swaps(topology, name, names)],
        [each for name in names for make in (cables, powered_in_place, card_for) for each in make(topology, name)],
        [each for name in names for each in hub_for(topology, name)],
        [Proposal((change,)) for change in bounds(study)],
        [offer for finding in every(study) if finding.fix is not None for offer in finding.fix.offers],
    )
    for kind in kinds:
        yield from kind[:: max(1, len(kind) - 1)][:OF_A_KIND]


@pytest.mark.parametrize("name", NAMES)
def test_what_is_remembered_is_what_would_be_computed(name: str) -> None:
    rig = small(name)
    study = Study(rig)
    kept = Remembered(study, EXAMINER)
    for proposal in proposals(study):
        try:
            changed = done(rig, proposal)
        except CommandError:
            continue
        same_as_computed(kept, changed, in_order(every(study)))


def same_as_computed(kept: Remembered, changed: Rig, had: tuple[object, ...]) -> None:
    after, long = kept.of(changed), Study(changed)
    findings = every(long)
    for finding in had:
        gone = key_of(finding) not in map(key_of, findings)  # type: ignore[arg-type]
        assert not gone or not (after.still_has(finding) or after.surely_has(finding))  # type: ignore[arg-type]
    told = {(*key_of(each), each.severity) for each in findings if each.severity != "note"}
    assert {(*key_of(each), each.severity) for each in after.telling()} == told
    assert after.findings == findings and after.devices == long.devices
    whole = consequence(long, findings)
    assert after.consequence == whole and after.soon == (whole.lost, whole.delay_s)
    for device in changed.devices:
        assert (after.flow(device.id), after.alone_s(device.id)) == (long.flow(device.id), long.alone_s(device.id))


@pytest.mark.parametrize("name", NAMES)
def test_every_plan_leaves_what_it_says_it_leaves(name: str) -> None:
    rig = small(name)
    study = Study(rig)
    findings = in_order(EXAMINER(study))
    judge = Judge(study, findings, EXAMINER)
    for judged in frontier(study, findings, EXAMINER, most_moves=1, judge=judge).plans:
        then = every(Study(done(rig, judged.proposal)))
        severities = [finding.severity for finding in then]
        assert judged.left == (severities.count("fault"), severities.count("risk"))
        assert {key_of(each) for each in judged.plan.leaves} == {key_of(f) for f in then if f.severity != "note"}
        assert not {key_of(each) for each in judged.plan.gone} & set(map(key_of, then))
        assert (judged.loss > 0.0) == bool(judged.price)
        new = {(*key_of(each), each.severity) for each in judged.plan.brings}
        assert new == {(*key_of(f), f.severity) for f in then if key_of(f) not in set(map(key_of, findings))}


@pytest.mark.parametrize("clear", [("fault",), ("fault", "risk")])
@pytest.mark.parametrize("name", NAMES)
def test_the_fewest_plugs_by_brute_force(name: str, clear: tuple[Severity, ...]) -> None:
    """With all parts free to move, and with one that stays."""
    rig = small(name)
    for pinned in (frozenset[str](), frozenset([rig.devices[0].id])):
        answer = rewire(rig, EXAMINER, clear, 2, pinned)
        found = None if answer.plan is None else (len(answer.plan.moves), answer.plan.consequence)
        assert found == brute(rig, clear, 2, pinned)
        assert answer.searched.complete and not pinned & {part for part, _, _ in answer.best.moves}


@pytest.mark.parametrize("name", NAMES)
def test_the_frontier_of_one_change_by_brute_force(name: str) -> None:
    assert differences(small(name), 1, 150) == (set(), set())


@pytest.mark.parametrize("name", NAMES)
def test_a_page_tells_of_the_failures_that_stop_the_night(name: str) -> None:
    """Those of plan B, without how the night goes on; the order of starting where any part takes its time."""
    rig = small(name)
    study = Study(rig)
    stops = [replace(each, brings=(), then=()) for each in plan_b(rig, EXAMINER) if each.single_point]
    assert list(night_stops(study, EXAMINER(study), EXAMINER)) == stops
    assert worth_saying(start_list(rig), rig) == (name in ("least-important", "fed"))
