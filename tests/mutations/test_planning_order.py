"""What plans ask, which come first, which are left out, and which sets are not looked at: on plans made by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from tests.mutations.test_planning_rules import small
from topo.analysis.study import Study
from topo.frozen import replace
from topo.model.change import Change, MovePlug, Proposal, SetCable, SetSerial, SetUse, SwapPlugs
from topo.model.finding import Finding
from topo.model.records import CableFacts
from topo.model.rig import Place
from topo.place.advice import in_order, steps_of
from topo.place.combine import Combiner, changes, joined
from topo.place.frontier import _dominates, _effort, _is_of_plugs, _reasons, _set_by, _without_dominated, asks
from topo.place.options import Placement, behind

MOVE, OTHER, SWAP = MovePlug("a", "computer", "usb2-1"), MovePlug("b", "computer", "usb2-2"), SwapPlugs("a", "b")
LIMIT, BIN, POLLS = SetUse("a", "limit_mb_per_s", 5.0), SetUse("a", "bin", 2), SetSerial("c", "polls_per_s", 1.0)
CABLE = SetCable("a", CableFacts())


def plan(*steps: Change, left: tuple[int, int] = (0, 0), price: tuple[str, ...] | None = None, buys: int = 0,
         to_try: int = 0, loss: float = 0.0, soon: tuple[int, float] = (0, 0.0), consequence: int = 0) -> Any:
    """A plan that asks and leaves so much; its settings cost something unless it is said that they do not."""
    paid = any(isinstance(step, SetUse) for step in steps)
    rig_after = SimpleNamespace(topology=SimpleNamespace(leg=lambda name: None), soon=soon)
    return SimpleNamespace(
        proposal=Proposal(steps, ("thing",) * buys, ("try",) * to_try), left=left, loss=loss, consequence=consequence,
        price=("dear",) * paid if price is None else price, rig_after=rig_after)


@pytest.mark.parametrize(("judged", "wanted", "effort", "of_plugs"), [
    (plan(MOVE), (0, 1, 0), 2, True), (plan(SWAP), (0, 2, 0), 4, True), (plan(MOVE, OTHER), (0, 2, 0), 4, True),
    (plan(LIMIT), (0, 0, 1), 5, False), (plan(LIMIT, BIN), (0, 0, 2), 10, False),
    (plan(LIMIT, price=()), (0, 0, 0), 0, False), (plan(POLLS), (0, 0, 0), 0, False),
    (plan(MOVE, CABLE, buys=1), (1, 1, 0), 8, False), (plan(MOVE, LIMIT), (0, 1, 1), 7, False),
    (plan(SWAP, buys=1), (1, 2, 0), 10, False), (plan(CABLE, buys=1), (1, 0, 0), 6, False),
])
def test_what_a_plan_asks(judged: Any, wanted: tuple[int, int, int], effort: int, of_plugs: bool) -> None:
    """A plug 2, a setting that costs pictures 5, a thing bought 6."""
    assert asks(judged) == wanted and _effort(judged) == effort and _is_of_plugs(judged) == of_plugs
    assert _set_by(judged) == {(step.part, step.key) for step in judged.proposal.steps if isinstance(step, SetUse)}


@pytest.mark.parametrize(("one", "other", "beats"), [
    (plan(MOVE), plan(MOVE), True), (plan(MOVE), plan(SWAP), True), (plan(SWAP), plan(MOVE), False),
    (plan(MOVE, left=(0, 1)), plan(MOVE), False), (plan(MOVE, left=(0, 1)), plan(MOVE, left=(1, 0)), True),
    (plan(MOVE), plan(LIMIT), False), (plan(LIMIT), plan(MOVE), False), (plan(MOVE), plan(MOVE, LIMIT), True),
    (plan(MOVE, to_try=1), plan(MOVE), False), (plan(MOVE), plan(MOVE, to_try=1), True),
    (plan(MOVE), plan(MOVE, CABLE, buys=1), True), (plan(CABLE, buys=1), plan(MOVE), False),
])
def test_which_plan_beats_another(one: Any, other: Any, beats: bool) -> None:
    """One that asks no more of anything, to try cables too, and leaves no more."""
    assert _dominates(one, other) == beats


def test_the_order_of_plans() -> None:
    """What comes first in `check`, then by effort, what is left, what has to be tried, what it costs, what it comes to;
    without those that are beaten."""
    first = plan(LIMIT, BIN)
    move, tried = plan(MOVE, left=(0, 1)), plan(OTHER, left=(0, 1), to_try=1)
    swap, worse, bought = plan(SWAP), plan(SWAP, left=(0, 2)), plan(CABLE, buys=1)
    assert list(_without_dominated(first, [bought, worse, tried, swap, move, first])) == [first, move, swap, bought]
    assert list(_without_dominated(None, [first, swap])) == [swap, first]
    cheap, dear = plan(LIMIT, loss=0.5), plan(BIN, loss=0.7)
    assert list(_without_dominated(None, [dear, cheap])) == [cheap]
    early, late = plan(LIMIT, soon=(1, 0.5), consequence=2), plan(BIN, soon=(1, 0.7), consequence=1)
    assert list(_without_dominated(None, [late, early])) == [early]
    good, bad = plan(LIMIT, consequence=1), plan(BIN, consequence=2)
    assert list(_without_dominated(None, [bad, good])) == [good]


def test_reasons_stand_once() -> None:
    def finding(name: str, part: str) -> Finding:
        return Finding(name, "fault", "certain", part, Place("f", 1, 1), "m")

    told = [(finding("a", "x"), "No."), (finding("b", "y"), ""), (finding("c", "z"), "No."),
            (finding("d", "x"), "Nor.")]
    assert _reasons(told) == ("a (x) and c (z): No.", "d (x): Nor.")


@pytest.mark.parametrize(("step", "count"), [
    (Proposal((MOVE,)), 1), (Proposal((SWAP,)), 2), (Proposal((MOVE, CABLE), ("cable",)), 2), (Proposal((LIMIT,)), 1),
    (Proposal((POLLS,)), 1), (Proposal((CABLE,), ("cable",)), 1), (Proposal((LIMIT, POLLS, MOVE)), 3),
    (Proposal((replace(MOVE, part="c"), OTHER), ("hub",)), 3), (Proposal(()), 1),
])
def test_how_many_changes_a_way_is(step: Proposal, count: int) -> None:
    assert changes(step) == count


def test_what_both_set_is_set_once() -> None:
    """As the later one says; what they move and buy and try stands one after the other."""
    one = Proposal((LIMIT, MOVE, POLLS), ("hub",), ("reach",))
    other = Proposal((replace(LIMIT, value=4.0), replace(MOVE, part="b"), replace(POLLS, value=2.0)), ("cable",),
                     ("b",))
    both = joined(one, other)
    assert both.steps == (MOVE, *other.steps) and both.buys == ("hub", "cable") and both.to_try == ("reach", "b")
    assert joined(one, Proposal((BIN,))).steps == (LIMIT, MOVE, POLLS, BIN)


def combiner(*known: Any) -> Combiner:
    study = Study(small("card"))
    judge: Any = SimpleNamespace(study=study)
    screen: Any = SimpleNamespace(stays=(1, 2))

    def asked(judged: Any) -> tuple[int, int, int, int]:
        return (*asks(judged), len(judged.proposal.to_try))

    return Combiner(judge, ("fault",), lambda judged: None, lambda: known, asked, screen)


@pytest.mark.parametrize(("known", "asked", "bound", "beaten"), [
    ((plan(MOVE),), (0, 1, 0, 0), (0, 0), True), ((plan(MOVE),), (0, 2, 1, 0), (0, 0), True),
    ((plan(MOVE),), (1, 0, 0, 0), (0, 0), False), ((plan(MOVE, left=(0, 1)),), (0, 1, 0, 0), (0, 0), False),
    ((plan(MOVE, left=(0, 1)),), (0, 1, 0, 0), (0, 1), True), ((plan(MOVE, to_try=1),), (0, 1, 0, 0), (9, 9), False),
    ((plan(SWAP), plan(MOVE)), (0, 1, 0, 0), (0, 0), True), ((), (9, 9, 9, 9), (9, 9), False),
])
def test_a_set_is_given_up_where_less_is_known_to_do(
    known: tuple[Any, ...], asked: tuple[int, int, int, int], bound: tuple[int, int], beaten: bool,
) -> None:
    assert combiner(*known)._beaten(asked, bound) == beaten


@pytest.mark.parametrize(("known", "proposal", "least", "hopeless"), [
    ((plan(MOVE),), Proposal((OTHER,)), (0, 0), False), ((plan(MOVE),), Proposal((OTHER,)), (0, 1), True),
    ((plan(MOVE),), Proposal((SWAP,)), (0, 0), True), ((plan(SWAP),), Proposal((OTHER,)), (0, 1), False),
    ((plan(MOVE, left=(0, 2)),), Proposal((OTHER,)), (0, 1), False), ((), Proposal((SWAP,)), (9, 9), False),
    ((plan(MOVE),), Proposal((OTHER,), to_try=("reach",)), (0, 0), True),
    ((plan(MOVE, to_try=1),), Proposal((SWAP,)), (9, 9), False),
])
def test_a_set_is_not_computed_where_it_can_be_no_better(
    known: tuple[Any, ...], proposal: Proposal, least: tuple[int, int], hopeless: bool,
) -> None:
    """Another that asks as much and leaves as much is none the better for it, and looked at all the same."""
    after: Any = combiner().judge.study
    assert combiner(*known)._hopeless(proposal, after, least) == hopeless


def test_a_change_takes_away_one_of_two_faults_that_have_nothing_in_common() -> None:
    """On `least-important`: the guide camera and the mount hang on one hub, the main camera and the panel do not."""
    after: Any = SimpleNamespace(topology=Study(small("least-important")).topology)

    def bad(*parts: str) -> tuple[Finding, ...]:
        return tuple(Finding("some", "fault", "certain", part, Place("f", 1, 1), "m") for part in parts)

    one = combiner()
    for parts, more, faults in (
        (("guide", "main", "panel"), 0, 3), (("guide", "main", "panel"), 1, 2), (("guide", "main", "panel"), 2, 1),
        (("guide", "main", "panel"), 3, 1), (("guide", "mount"), 0, 1), (("guide", "mount", "main"), 0, 2),
        ((), 0, 1), (("computer",), 0, 3),
    ):
        assert one._bound(after, bad(*parts), more) == (faults if parts != ("computer",) else 1, 2)
    risk = tuple(replace(each, severity="risk") for each in bad("main", "panel"))
    assert one._bound(after, (*bad("guide"), *risk), 0) == (1, 2)


@pytest.mark.parametrize(("now", "above", "wanted"), [
    ((1, 0.5, 1.0, 1), (0, 0.9, 2.0, 2), "brings another note"),
    ((0, 0.9, 1.0, 1), (0, 0.5, 2.0, 2), "its busiest link"),
    ((0, 0.5, 2.0, 1), (0, 0.5, 1.0, 2), "downloads take"), ((0, 0.5, 1.0, 2), (0, 0.5, 1.0, 1), "one hub more"),
    ((0, 0.5, 1.0, 1), (0, 0.5, 1.0, 1), "as good as"), ((0, 0.4, 1.0, 1), (1, 0.5, 1.0, 1), "as good as"),
])
def test_why_a_socket_stands_behind_another(now: Any, above: Any, wanted: str) -> None:
    def option(figures: Any) -> Any:
        return SimpleNamespace(consequence=SimpleNamespace(**dict(zip(
            ("notes", "busiest", "download_s", "depth"), figures, strict=True))))

    assert behind(option(now), option(above)).startswith(wanted)


@pytest.mark.parametrize(("why", "wanted"), [
    ((), ()), ((("a", "b"),), ()), ((("a", "b"), ("b", "c")), ("b",)), ((("a", "b"), ("b", "a"), ("a",)), ("a",)),
    ((("a",), ("b",)), ()),
])
def test_what_holds_in_every_socket(why: tuple[tuple[str, ...], ...], wanted: tuple[str, ...]) -> None:
    options: Any = tuple(SimpleNamespace(why=each) for each in why)
    part: Any = None
    now: Any = None
    assert Placement(part, options, (), now).everywhere == wanted


def moved(*plugs: str) -> tuple[tuple[str, str, str], ...]:
    """`a12`: part a from socket 1 to socket 2."""
    return tuple((name, f"c/{was}", f"c/{to}") for name, was, to in plugs)


@pytest.mark.parametrize(("moves", "wanted"), [
    (("a12",), ["a>2"]), (("a12", "b23"), ["b>3", "a>2"]), (("a12", "b21"), ["a<>b"]),
    (("a12", "b23", "c31"), ["a>2", "b>3", "c>1"]), (("a12", "c34", "d43"), ["a>2", "c<>d"]),
    (("a12", "b23", "c34"), ["c>4", "b>3", "a>2"]), (("a12", "b21", "c34"), ["c>4", "a<>b"]), ((), []),
])
def test_each_socket_is_free_when_its_turn_comes(moves: tuple[str, ...], wanted: list[str]) -> None:
    """A ring of two is a swap; one of three is pulled first, all of it."""
    found = steps_of(moved(*moves))
    assert [f"{step.part}<>{step.other}" if isinstance(step, SwapPlugs) else f"{step.part}>{step.to_socket}"
            for step in found if isinstance(step, MovePlug | SwapPlugs)] == wanted
    assert sum(len(ring) for ring in in_order(moved(*moves))) == len(moves)
