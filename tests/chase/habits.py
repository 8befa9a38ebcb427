"""Ways to choose the next test: the chooser's own, and four that people have. All but the last end by the same rule.

Habits change one thing at a time, as is customary; `halving_two` is halving that may do two at once like the chooser.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from tests.chase.faults import Fault
from topo.chase.belief import Belief, start
from topo.chase.choose import WORTH, choose, now
from topo.chase.ending import Ending, ending, settled
from topo.chase.rhythm import Rhythm
from topo.chase.score import READING_MIN, Silences, full, option_of
from topo.model.chase import GOES, Dossier, LookChances, Reply, Shows

FORUM = (
    "spare-cable", "log-line", "straight-in", "other-socket", "other-supply", "lower-limit", "other-hub",
    "power-saving-off", "leave-idle", "unplug-others", "5-ghz", "loads-off", "new-number", "speed-fallen",
    "over-current", "power-saving", "star-jumps", "cap-on", "times-line-up", "other-controller", "other-lead",
    "swap-cables", "swap-sockets", "darks", "elsewhere", "all-elsewhere",
)
"""The order customary in forums: what is advised first comes first (the counts of sources, then our judgement).

A test that is not named comes last: nobody advises it yet."""
MOST_TESTS = 200


@dataclass
class Chase:
    """One chase under way: what is believed, what was answered, how long each change was watched."""

    case: Dossier
    rhythm: Rhythm
    belief: Belief
    answers: list[Reply]
    rng: random.Random


@dataclass(frozen=True)
class Result:
    """How one ended: a right name, a right set of at most three, a wrong name; minutes and tests to the end."""

    named: bool
    in_set: bool
    wrong: bool
    minutes: float
    tests: int

    @property
    def found(self) -> bool:
        return self.named or self.in_set


Next = Callable[[Chase], tuple[int, float] | Ending]


def chase(fault: Fault, rhythm: Rhythm, following: Next, seed: int) -> Result:
    """Follows one way to the end."""
    under = Chase(fault.case, rhythm, start(fault.case, rhythm), [], random.Random(seed))
    for _ in range(MOST_TESTS):
        step = following(under)
        if isinstance(step, Ending):
            return _result(fault, step, len(under.answers))
        number, wait = step
        test = fault.case.tests[number]
        standing = number == under.belief.standing and not test.is_look
        fault.clock += READING_MIN + (0.0 if standing else test.hands_min)
        outcome = fault.look(number) if test.is_look else fault.change(number, wait, standing)
        answer = Reply(test.key, outcome, wait)
        under.answers.append(answer)
        under.belief = under.belief.after(answer)
    return Result(False, False, False, fault.clock, MOST_TESTS)


def _result(fault: Fault, end: Ending, tests: int) -> Result:
    has = any(place in group for group in end.groups for place in fault.places)
    return Result(
        end.named and has, not end.named and has and len(end.groups) <= 3, end.named and not has, fault.clock, tests
    )


def own(under: Chase) -> tuple[int, float] | Ending:
    """What the command advises."""
    choice = choose(under.belief, under.answers)
    if choice.option is None:
        assert choice.ending is not None
        return choice.ending
    return choice.option.number, choice.option.wait


def random_swaps(under: Chase) -> tuple[int, float] | Ending:
    """Any test, in no order."""
    order = _single(under)
    under.rng.shuffle(order)
    return _first(under, order)


def forum(under: Chase) -> tuple[int, float] | Ending:
    """The customary order, from the victim up; again from the start when it is through."""
    done = [answer.test for answer in under.answers]
    tests = under.case.tests
    order = sorted(_single(under), key=lambda n: (done.count(tests[n].key), _by_custom(tests[n].kind), n))
    return _first(under, order)


def _by_custom(kind: str) -> int:
    return FORUM.index(kind) if kind in FORUM else len(FORUM)


def halving(under: Chase) -> tuple[int, float] | Ending:
    """The test whose outcomes part the suspects most evenly as they stand, minutes and silence left out."""
    return _first(under, _evenly(under, _single(under)))


def halving_two(under: Chase) -> tuple[int, float] | Ending:
    """The same with two changes at once."""
    return _first(under, _evenly(under, list(range(len(under.case.tests)))))


def _single(under: Chase) -> list[int]:
    return [number for number, test in enumerate(under.case.tests) if not test.both]


def _evenly(under: Chase, among: list[int]) -> list[int]:
    """These tests, the one that parts the suspects most evenly first; those done least often before the others."""
    guilt, done = under.belief.guilt, [answer.test for answer in under.answers]

    def largest(number: int) -> float:
        parts: dict[str, float] = {}
        for place, shows in enumerate(under.case.table[number]):
            what = shows.outcome if isinstance(shows, Shows) else _likeliest(shows)
            parts[what] = parts.get(what, 0.0) + guilt[place]
        return max(parts.values())

    return sorted(among, key=lambda n: (done.count(under.case.tests[n].key), round(largest(n), 9), n))


def _likeliest(told: LookChances) -> str:
    return str(told.chances.index(max(told.chances)))


def _first(under: Chase, order: list[int]) -> tuple[int, float] | Ending:
    """The first of the order that still tells something, with a wait of three intervals; the end where none does."""
    end = ending(under.belief, exhausted=False)
    if end is not None:
        return end
    if settled(under.belief, 0.0) is not None:  # small enough to end with, were it too dear to go on
        left = settled(under.belief, max(o.per_minute for o in now(under.belief, under.answers)))
        if left is not None:
            return left
    wait = under.rhythm.waits[-1]
    watched = {test.key: 0.0 for test in under.case.tests}
    for answer in under.answers:
        watched[answer.test] += answer.minutes
    looked = {under.case.tests[under.case.number(a.test)].family for a in under.answers} - {""}
    silences = Silences(under.belief)
    for number in order:
        test = under.case.tests[number]
        if test.family in looked if test.is_look else full(under.belief, number, watched[test.key], wait):
            continue
        if option_of(under.belief, number, wait / test.pace, silences).bits >= WORTH:
            return number, 0.0 if test.is_look else wait / test.pace
    found = ending(under.belief, exhausted=True)
    assert found is not None
    return found


def until_quiet(fault: Fault, ordered: bool, minutes: float, seed: int) -> tuple[bool, float]:
    """The habit: change things until it is quiet for so long. Whether the trouble is really gone; minutes spent."""
    rng = random.Random(seed)
    changes = [n for n, test in enumerate(fault.case.tests) if not test.is_look and not test.both]
    if ordered:
        changes.sort(key=lambda n: (_by_custom(fault.case.tests[n].kind), n))
    else:
        rng.shuffle(changes)
    for number in changes:
        fault.clock += READING_MIN + fault.case.tests[number].hands_min
        if fault.change(number, minutes, False) == GOES:
            return fault.gone(number), fault.clock
    return False, fault.clock

