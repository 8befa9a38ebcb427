"""The choice of small cases against every strategy there is; rollout against the optimum; cases worked by hand."""

from __future__ import annotations

import itertools
import math
import random
from functools import lru_cache

import pytest

from tests.chase.problems import problems
from topo.chase.belief import start
from topo.chase.choose import choose
from topo.chase.exact import Greedy, best, entropy_of
from topo.chase.rhythm import always
from topo.model.chase import GOES, STAYS, Dossier, Shows, Suspect, Test

Tables = list[list[list[float]]]


def random_tables(rng: random.Random, suspects: int, tests: int, wrong: float) -> Tables:
    """Two-way tests whose answers are wrong with that chance."""
    tables = []
    for _ in range(tests):
        stays = [rng.randint(0, 1) for _ in range(suspects)]
        yes = [1.0 - wrong if one else wrong for one in stays]
        tables.append([yes, [1.0 - chance for chance in yes]])
    return tables


def every_strategy(weights: list[float], tables: Tables, costs: list[float], wrong_cost: float) -> list[float]:
    """The cost of every strategy with each test at most once, without memory: stop, or a test and any way to go on."""
    total = math.fsum(weights)
    found = [(total - max(weights)) * wrong_cost]
    for number, table in enumerate(tables):
        rest, prices = tables[:number] + tables[number + 1 :], costs[:number] + costs[number + 1 :]
        after = [
            every_strategy([w * q for w, q in zip(weights, row, strict=True)], rest, prices, wrong_cost)
            for row in table
        ]
        found += [total * costs[number] + math.fsum(ways) for ways in itertools.product(*after)]
    return found


@pytest.mark.parametrize("seed", range(60))
def test_the_best_is_the_best_of_all_strategies(seed: int) -> None:
    rng = random.Random(seed)
    suspects, tests = rng.randint(2, 5), rng.randint(1, 3)
    weights = [rng.uniform(0.05, 1.0) for _ in range(suspects)]
    tables = random_tables(rng, suspects, tests, rng.choice((0.0, 0.05, 0.2)))
    costs = [rng.uniform(1.0, 20.0) for _ in range(tests)]
    wrong_cost = rng.choice((30.0, 120.0, 600.0))
    cost, _ = best(weights, tables, costs, wrong_cost)
    assert cost == pytest.approx(min(every_strategy(weights, tables, costs, wrong_cost)), rel=1e-9)


# Three suspects by hand: a guide camera's cable 0.5, its hub 0.3, the hub's cable 0.2; trouble always there. Straight
# into the computer (5 min) stays for the first only; a spare cable on the camera (3) for the others; on the hub (3) for
# the first two. 3 + 0.5 · 3 = 4.5 minutes is the best; the spare on the hub first takes 3 + 0.8 · 3 = 5.4.
BY_HAND = [0.5, 0.3, 0.2]
OUTCOMES = [[0, 1, 1], [1, 0, 0], [0, 0, 1]]


def as_tables(outcomes: list[list[int]]) -> Tables:
    return [[[float(o == kind) for o in row] for kind in sorted(set(row))] for row in outcomes]


def test_three_suspects_by_hand() -> None:
    cost, first = best(BY_HAND, as_tables(OUTCOMES), [5.0, 3.0, 3.0], 1e6)
    assert (cost, first) == (pytest.approx(4.5), 1)
    assert Greedy(OUTCOMES, [5.0, 3.0, 3.0]).cost(BY_HAND, [0, 1, 2]) == pytest.approx(4.5)
    assert entropy_of(BY_HAND) == pytest.approx(1.48548, abs=1e-5)


def test_the_trap_of_greed() -> None:
    # 0.4/0.3/0.3; one minute parts the first from the rest (0.971 bits a minute), 1.65 all three (0.952)
    weights, outcomes, costs = [0.4, 0.3, 0.3], [[0, 1, 1], [0, 1, 2]], [1.0, 1.65]
    assert Greedy(outcomes, costs).cost(weights, [0, 1, 2]) == pytest.approx(1.0 + 0.6 * 1.65)
    assert best(weights, as_tables(outcomes), costs, 1e6) == (pytest.approx(1.65), 1)


def rolled_out(weights: list[float], outcomes: list[list[int]], costs: list[float]) -> float:
    """What one step and then greedy costs, stepwise to the end."""
    greedy = Greedy(outcomes, costs)

    def parts(among: tuple[int, ...], row: list[int]) -> list[tuple[int, ...]]:
        kinds = sorted({row[i] for i in among})
        return [tuple(i for i in among if row[i] == kind) for kind in kinds]

    @lru_cache(None)
    def cost(among: tuple[int, ...]) -> float:
        useful = [n for n, row in enumerate(outcomes) if len(parts(among, row)) > 1]
        if not useful:
            return 0.0
        total = math.fsum(weights[i] for i in among)

        def ahead(number: int) -> float:
            after = (greedy.cost(weights, part) for part in parts(among, outcomes[number]))
            return total * costs[number] + math.fsum(after)

        chosen = min(useful, key=ahead)
        return total * costs[chosen] + math.fsum(cost(part) for part in parts(among, outcomes[chosen]))

    return cost(tuple(range(len(weights))))


def test_rollout_stays_near_the_optimum_without_noise() -> None:
    ratios, plain = [], []
    for seed in range(150):
        rng = random.Random(seed)
        suspects, tests = rng.randint(4, 7), rng.randint(3, 7)
        weights = [rng.uniform(0.02, 1.0) for _ in range(suspects)]
        outcomes = [[rng.randint(0, 1) for _ in range(suspects)] for _ in range(tests)]
        costs = [rng.choice((1.0, 2.0, 3.0, 5.0, 8.0, 25.0)) for _ in range(tests)]
        told_apart = {tuple(row[i] for row in outcomes) for i in range(suspects)}
        merged = [math.fsum(w for i, w in enumerate(weights) if tuple(r[i] for r in outcomes) == sign)
                  for sign in sorted(told_apart)]
        if len(merged) < 2:
            continue
        columns = [[sign[t] for sign in sorted(told_apart)] for t in range(tests)]
        least, _ = best(merged, as_tables(columns), costs, 1e9)
        ratios.append(rolled_out(merged, columns, costs) / least)
        plain.append(Greedy(columns, costs).cost(merged, list(range(len(merged)))) / least)
    assert min(ratios) >= 1.0 - 1e-9
    assert max(ratios) <= 1.20
    assert max(plain) > max(ratios)  # which greed alone does not do


def test_a_small_steady_case_is_chosen_exactly() -> None:
    suspects = tuple(Suspect(k, k, k, w) for k, w in zip(("cable", "hub", "socket"), BY_HAND, strict=True))
    tests = tuple(
        Test(key, key, "", minutes, (STAYS, GOES), effort="plug")
        for key, minutes in (("straight", 5.0), ("spare-camera", 3.0), ("spare-hub", 3.0))
    )
    shows = [[STAYS, GOES, GOES], [GOES, STAYS, STAYS], [STAYS, STAYS, GOES]]
    case = Dossier(suspects, tests, tuple(tuple(map(Shows, row)) for row in shows))
    choice = choose(start(case, always()), [])
    assert choice.exact
    assert choice.option is not None
    assert case.tests[choice.option.number].key == "spare-camera"


def test_choice_of_real_cases_is_always_the_same() -> None:
    for case in problems(mix=(("drops", 3), ("guide-late", 2))):
        one, other = (choose(start(case, always()), []) for _ in range(2))
        assert one == other
        assert one.option is not None
