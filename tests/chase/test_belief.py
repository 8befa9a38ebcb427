"""Bayes held against plain enumeration of everything hidden: which faults, at which rate, what the touch healed, what
kept silent by chance, which answers were wrong."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator

import pytest

from topo.chase.belief import believe, start
from topo.chase.choose import now
from topo.chase.likely import HEALED, WRONG
from topo.chase.rhythm import Rhythm, every
from topo.chase.score import entropy
from topo.model.chase import GOES, MOVES, STAYS, Dossier, LookChances, Prediction, Reply, Shows, Suspect, Test

CASES = 300
FEW_RATES = Rhythm(1.0, (0.2, 1.1), (0.3, 0.7), "few")
"""Two rates, so that everything hidden can be gone through."""


def small_case(rng: random.Random) -> Dossier:
    """Two to four suspects, one of them perhaps not listed, and two to four tests, looks among them."""
    count = rng.randint(2, 4)
    suspects = tuple(
        Suspect(f"s{i}", "other" if i == count - 1 and rng.random() < 0.5 else "cable", f"p{i}", rng.uniform(0.05, 1.0))
        for i in range(count)
    )
    tests, table = [], []
    for t in range(rng.randint(2, 4)):
        if rng.random() < 0.3:
            outcomes: tuple[str, ...] = ("yes", "no", "perhaps")[: rng.randint(2, 3)]
            tests.append(Test(f"t{t}", "look", "", 2.0, outcomes, f"f{t}"))
            table.append(tuple(_told(rng, len(outcomes)) for _ in suspects))
        else:
            row = tuple(_shows(rng) for _ in suspects)
            outcomes = (STAYS, MOVES, GOES) if any(s.outcome == MOVES for s in row) else (STAYS, GOES)
            tests.append(Test(f"t{t}", "way", "", 3.0, outcomes, effort="plug"))
            table.append(row)
    return Dossier(suspects, tuple(tests), tuple(table))


def _told(rng: random.Random, count: int) -> LookChances:
    parts = [rng.random() for _ in range(count)]
    return LookChances(tuple(part / math.fsum(parts) for part in parts))


def _shows(rng: random.Random) -> Shows:
    outcome = rng.choice((STAYS, STAYS, MOVES, GOES))
    return Shows(outcome, rng.choice((0.0, HEALED)) if outcome != GOES else 0.0, rng.choice((1.0, 1.0, 5.0)))


def some_answers(rng: random.Random, case: Dossier, most: int = 3) -> list[Reply]:
    """Answers as somebody may give them: looks once, changes now and then carried on."""
    found: list[Reply] = []
    for _ in range(rng.randint(1, most)):
        test = found[-1].test if found and rng.random() < 0.4 else rng.choice(case.tests).key
        chosen = case.tests[case.number(test)]
        if chosen.is_look and any(answer.test == test for answer in found):
            continue
        minutes = 0.0 if chosen.is_look else rng.choice((0.75, 1.5, 3.0))
        found.append(Reply(test, rng.choice(chosen.outcomes), minutes))
    return found


def by_enumeration(case: Dossier, rhythm: Rhythm, answers: list[Reply]) -> list[float]:
    """The chance of each fault set: the sum over every hidden world that gives these answers."""
    belief = start(case, rhythm)  # only for the prior of each set, which test_prior holds
    totals = []
    for members, chance in zip(belief.sets, belief.chances, strict=True):
        worlds = [
            chance * weight * _worlds(case, members, rate, answers, 0, {})
            for rate, weight in zip(rhythm.rates, rhythm.weights, strict=True)
        ]
        totals.append(math.fsum(worlds))
    return [total / math.fsum(totals) for total in totals]


def _worlds(
    case: Dossier, members: tuple[int, ...], rate: float, answers: list[Reply], step: int, healed: dict[int, bool]
) -> float:
    """The chance of the answers from this step on; `healed` holds while the test is the same as before."""
    if step == len(answers):
        return 1.0
    answer = answers[step]
    number = case.number(answer.test)
    test, row = case.tests[number], case.table[number]
    if test.is_look:
        return _told_so(test, [row[m] for m in members], answer) * _worlds(case, members, rate, answers, step + 1, {})
    carried_on = step > 0 and answers[step - 1].test == answer.test
    total = 0.0
    for touched in [healed] if carried_on else _touches(row, members):
        weight = 1.0 if carried_on else math.prod(
            _still(row[m]) if touched[m] else 1.0 - _still(row[m]) for m in members
        )
        for silent in itertools.product((True, False), repeat=len(members)):
            chance = weight
            seen = set()
            for m, quiet in zip(members, silent, strict=True):
                shows = row[m]
                assert isinstance(shows, Shows)
                by_chance = math.exp(-rate / len(members) * shows.pace * answer.minutes)
                chance *= by_chance if quiet else 1.0 - by_chance
                seen.add(GOES if quiet or touched[m] else shows.outcome)
            really = STAYS if STAYS in seen else MOVES if MOVES in seen else GOES
            right = 1.0 - WRONG if really == answer.outcome else WRONG / (len(test.outcomes) - 1)
            if chance:
                total += chance * right * _worlds(case, members, rate, answers, step + 1, touched)
    return total


def _touches(row: tuple[Prediction, ...], members: tuple[int, ...]) -> Iterator[dict[int, bool]]:
    for pattern in itertools.product((True, False), repeat=len(members)):
        touched = dict(zip(members, pattern, strict=True))
        if all(_still(row[m]) > 0.0 or not touched[m] for m in members):
            yield touched


def _still(shows: Prediction) -> float:
    assert isinstance(shows, Shows)
    return shows.still


def _told_so(test: Test, members: list[Prediction], answer: Reply) -> float:
    """Led by either fault as often, then told rightly or wrongly."""
    total = 0.0
    for told in members:
        assert isinstance(told, LookChances)
        for outcome, chance in zip(test.outcomes, told.chances, strict=True):
            right = 1.0 - WRONG if outcome == answer.outcome else WRONG / (len(test.outcomes) - 1)
            total += chance * right / len(members)
    return total


@pytest.mark.parametrize("block", range(6))
def test_belief_equals_enumeration_of_all_that_is_hidden(block: int) -> None:
    for seed in range(block * CASES // 6, (block + 1) * CASES // 6):
        rng = random.Random(seed)
        case = small_case(rng)
        answers = some_answers(rng, case)
        slow = by_enumeration(case, FEW_RATES, answers)
        assert believe(case, FEW_RATES, answers).chances == pytest.approx(slow, rel=1e-9)


@pytest.mark.parametrize("seed", range(60))
def test_bits_are_the_expected_fall_of_entropy(seed: int) -> None:
    rng = random.Random(seed)
    case = small_case(rng)
    answers = some_answers(rng, case)
    belief = believe(case, every(1.0), answers)
    before = entropy(belief.chances)
    for option in now(belief, answers):
        test = case.tests[option.number]
        after = [belief.after(Reply(test.key, outcome, option.wait)) for outcome in test.outcomes]
        fall = before - math.fsum(
            share * entropy(each.chances) for share, each in zip(option.shares, after, strict=True)
        )
        assert math.fsum(option.shares) == pytest.approx(1.0)
        assert option.bits == pytest.approx(max(0.0, fall), abs=1e-9)
        assert option.bits <= min(before, math.log2(len(test.outcomes))) + 1e-9


@pytest.mark.parametrize("seed", range(40))
def test_order_of_facts_counts_for_nothing_where_nothing_is_carried_on(seed: int) -> None:
    rng = random.Random(seed)
    case = small_case(rng)
    answers = list({answer.test: answer for answer in some_answers(rng, case, 4)}.values())
    one = believe(case, every(1.0), answers).chances
    rng.shuffle(answers)
    assert believe(case, every(1.0), answers).chances == pytest.approx(one, rel=1e-12)


def case_of_two(shows: Shows, prior: float = 0.5) -> Dossier:
    """One suspect with this prior that shows something, and one that keeps silent, whatever is done."""
    suspects = (Suspect("a", "cable", "a", prior), Suspect("b", "other", "b", 1.0 - prior))
    tests = tuple(Test(key, "way", "", 3.0, (STAYS, GOES), effort="plug") for key in ("t", "u"))
    return Dossier(suspects, tests, ((shows, Shows(GOES)),) * 2)


def test_silence_weighs_what_an_uncertain_rate_allows() -> None:
    # every 15 minutes, seen 3 times, 30 quiet: (60/90)^4 = 0.198; with 5 % wrong answers 0.228 to 0.95
    belief = believe(case_of_two(Shows(STAYS)), every(15.0), [Reply("t", GOES, 30.0)])
    quiet = 0.19753 * 0.95 + 0.80247 * 0.05
    assert belief.guilt[0] == pytest.approx(quiet / (quiet + 0.95), rel=0.005)


def test_a_touch_caps_what_silence_says_however_long() -> None:
    # h = 0.3: 0.3 / 1.3 of even odds is left for ever, before wrong answers; carrying on adds nothing
    touched = case_of_two(Shows(STAYS, HEALED))
    carried_on = [Reply("t", GOES, 1e6)] * 3
    again = [Reply("t", GOES, 1e6), Reply("u", GOES, 1e6), Reply("t", GOES, 1e6)]
    assert believe(touched, every(15.0), carried_on[:1]).guilt[0] == pytest.approx(0.335 / (0.335 + 0.95), abs=0.01)
    assert believe(touched, every(15.0), carried_on).guilt[0] > 0.2
    assert believe(touched, every(15.0), again).guilt[0] < 0.06


def test_the_rate_is_carried_along() -> None:
    # three waits of two intervals leave 0.0256, not 0.0077: of 0.9 then 0.19 is left, not 0.065 (wrong answers: more)
    waits = [Reply("t", GOES, 2.0)] * 3
    case = case_of_two(Shows(STAYS), 0.9)
    assert 0.15 < believe(case, every(1.0), waits).guilt[0] < 0.3
    assert believe(case, every(1.0), [Reply("t", GOES, 6.0)]).guilt[0] > 0.3  # one answer may be wrong, three hardly


def case_of_three() -> Dossier:
    """Two listed suspects and one that is not."""
    suspects = (Suspect("a", "cable", "a", 3.0), Suspect("b", "hub", "b", 1.0), Suspect("c", "other", "c", 1.0))
    return Dossier(suspects, (), ())


def test_prior() -> None:
    case = case_of_three()
    belief = start(case, FEW_RATES)
    alone = [chance for members, chance in zip(belief.sets, belief.chances, strict=True) if len(members) == 1]
    weights = [suspect.weight for suspect in case.suspects]
    share = math.fsum(alone)
    assert share == pytest.approx(0.94)
    assert alone == pytest.approx([share * weight / math.fsum(weights) for weight in weights])
    assert math.fsum(belief.chances) == pytest.approx(1.0)
