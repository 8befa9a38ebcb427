"""Which test now. Small cases exactly; larger ones by bits for each minute, with a rollout where several come close."""

from __future__ import annotations

import math
from collections.abc import Sequence

from topo.chase.belief import Belief
from topo.chase.ending import Ending, ending, groups, guilt_of, settled
from topo.chase.exact import MOST_HISTORIES, Greedy, best, histories
from topo.chase.score import Prospect, Silences, options, table_of
from topo.frozen import frozen
from topo.model.chase import Reply, Shows

WORTH = 0.004
"""Bits below which a test is not worth doing."""
SMALL_CASE = 7
"""Suspects in play, and tests in play, up to which the choice is exact."""
IN_PLAY = 0.005
"""Chance from which a suspect is in play."""
WRONG_MIN = 240.0
"""What a wrong name costs, in minutes, where the choice is exact: half a night (judgement)."""
WORTH_TWO = 1.15
"""Two changes at once have to tell so many times as much a minute as the best that is one: one is easier to do."""
NEAR = 0.85
"""Options with at least this share of the best one's bits per minute are rolled out."""


@frozen
class Decision:
    """What to do now: an option, and how it was chosen; or how the chase ended.

    `further` is what would still tell most where the chase ended because that is too dear.
    """

    option: Prospect | None
    ending: Ending | None
    exact: bool = False
    further: Prospect | None = None


def choose(belief: Belief, answers: Sequence[Reply], cannot: Sequence[str] = ()) -> Decision:
    """The test to do now, or the end. `answers` are all that were given so far; `cannot` names tests left out."""
    found = ending(belief, exhausted=False)
    if found is not None:
        return Decision(None, found)
    tests = belief.case.tests
    worth = [each for each in now(belief, answers) if each.bits >= WORTH and tests[each.number].key not in cannot]
    if not worth:
        return Decision(None, ending(belief, exhausted=True))
    each = _best_of_each(belief, worth)
    left = settled(belief, each[0].per_minute)
    if left is not None:
        return Decision(None, left, further=each[0])
    exactly = _exact(belief, each)
    if exactly is not None:
        return Decision(exactly, None, exact=True)
    return Decision(_rolled_out(belief, each), None)


def now(belief: Belief, answers: Sequence[Reply]) -> list[Prospect]:
    """Every option there is after these answers."""
    watched = [0.0] * len(belief.case.tests)
    looked = []
    for answer in answers:
        number = belief.case.number(answer.test)
        watched[number] += answer.minutes
        if belief.case.tests[number].is_look:
            looked.append(belief.case.tests[number].family)
    return options(belief, watched, frozenset(looked))


def _best_of_each(belief: Belief, found: Sequence[Prospect]) -> list[Prospect]:
    """Of each test the wait that tells most for each minute, the most telling test first."""
    tests = belief.case.tests
    alone = max((option.per_minute for option in found if not tests[option.number].both), default=0.0)
    found = [o for o in found if not tests[o.number].both or o.per_minute >= WORTH_TWO * alone
             or o.number == belief.standing]
    kept: dict[int, Prospect] = {}
    for option in found:
        if option.number not in kept or option.per_minute > kept[option.number].per_minute:
            kept[option.number] = option
    return sorted(kept.values(), key=lambda option: (-option.per_minute, option.number))


def _exact(belief: Belief, each: Sequence[Prospect]) -> Prospect | None:
    """The first test of the best strategy; None where the case is not small or the strategy is to stop."""
    if len(each) > SMALL_CASE:
        return None
    play = [(group[0], chance) for group in groups(belief.case) if (chance := guilt_of(belief, group)) >= IN_PLAY]
    outcomes = [belief.case.tests[option.number].outcomes for option in each]
    if len(play) > SMALL_CASE or histories(outcomes) > MOST_HISTORIES:
        return None
    silences = Silences(belief)
    tables = [[[row[place] for place, _ in play] for row in table_of(belief, option, silences)] for option in each]
    _, first = best([chance for _, chance in play], tables, [option.cost for option in each], WRONG_MIN)
    return None if first is None else each[first]


def _rolled_out(belief: Belief, each: Sequence[Prospect]) -> Prospect:
    """Of the options near the best, the one after which plain greedy would be done soonest."""
    near = [option for option in each if option.per_minute >= NEAR * each[0].per_minute]
    if len(near) == 1:
        return near[0]
    play = [(group[0], chance) for group in groups(belief.case) if (chance := guilt_of(belief, group)) >= IN_PLAY]
    outcomes, costs = [], []
    for option in each:
        row, test = belief.case.table[option.number], belief.case.tests[option.number]
        shows = [row[place] for place, _ in play]
        if not test.is_look:
            outcomes.append([test.outcomes.index(s.outcome) for s in shows if isinstance(s, Shows)])
            costs.append(option.cost)
    greedy, silences = Greedy(outcomes, costs), Silences(belief)
    return min(near, key=lambda option: _cost_to_go(option, table_of(belief, option, silences), play, greedy))


def _cost_to_go(
    option: Prospect, table: Sequence[Sequence[float]], play: Sequence[tuple[int, float]], greedy: Greedy
) -> float:
    """The option's own cost, and what greedy would still need after each of its outcomes."""
    cost = option.cost * math.fsum(chance for _, chance in play)
    for row in table:
        weights = [chance * row[place] for place, chance in play]
        total = math.fsum(weights)
        cost += greedy.cost(weights, [i for i, weight in enumerate(weights) if weight >= IN_PLAY * total])
    return cost
