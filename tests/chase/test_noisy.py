"""Bits for each minute beside the optimum where answers are wrong now and then: each test once, minutes and a price for
a wrong name. The loss of greed lies in when it stops, so both stop where that is best."""

from __future__ import annotations

import math
import random
from functools import lru_cache

from topo.chase.exact import best
from topo.chase.score import entropy

INSTANCES, SUSPECTS, TESTS = 120, 7, 6


def by_greed(weights: list[float], tables: list[list[list[float]]], costs: list[float], wrong_cost: float) -> float:
    """The cost of always doing what tells most for each minute, stopping where that is cheaper."""

    @lru_cache(None)
    def value(state: tuple[int, ...]) -> float:
        left = list(weights)
        for table, outcome in zip(tables, state, strict=True):
            if outcome >= 0:
                left = [w * q for w, q in zip(left, table[outcome], strict=True)]
        total = math.fsum(left)
        stop = (total - max(left)) * wrong_cost
        open_tests = [n for n, outcome in enumerate(state) if outcome < 0]
        if not open_tests or total <= 0.0:
            return stop
        chances = [w / total for w in left]

        def gain(number: int) -> float:
            table = tables[number]
            shares = [math.fsum(p * q for p, q in zip(chances, row, strict=True)) for row in table]
            within = math.fsum(p * entropy([row[i] for row in table]) for i, p in enumerate(chances))
            return (entropy(shares) - within) / costs[number]

        chosen = max(open_tests, key=lambda number: (gain(number), -number))
        after = (value((*state[:chosen], o, *state[chosen + 1 :])) for o in range(len(tables[chosen])))
        return min(stop, total * costs[chosen] + math.fsum(after))

    return value((-1,) * len(tables))


def test_bits_for_each_minute_stay_near_the_optimum_with_noise() -> None:
    excess = []
    for seed in range(INSTANCES):
        rng = random.Random(seed)
        weights = [rng.uniform(0.05, 1.0) for _ in range(SUSPECTS)]
        weights = [weight / math.fsum(weights) for weight in weights]
        tables = []
        for _ in range(TESTS):
            stays = [0.95 if rng.random() < 0.5 else 0.05 for _ in range(SUSPECTS)]
            tables.append([stays, [1.0 - chance for chance in stays]])
        costs = [rng.choice((2.0, 3.0, 5.0, 8.0, 12.0)) + rng.choice((1.0, 6.0)) for _ in range(TESTS)]
        wrong_cost = rng.choice((120.0, 240.0, 600.0))
        least, _ = best(weights, tables, costs, wrong_cost)
        excess.append(by_greed(weights, tables, costs, wrong_cost) / least - 1.0)
    print(f"mean {math.fsum(excess) / INSTANCES:.4f}, worst {max(excess):.4f}")
    assert min(excess) >= -1e-9
    assert math.fsum(excess) / INSTANCES < 0.02
    assert sorted(excess)[int(0.95 * INSTANCES)] < 0.05
