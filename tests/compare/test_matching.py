"""The assignment is exact, the same every time, and ties go by the stated preference.

Oracles: all permutations, and SciPy's `linear_sum_assignment` (the Jonker-Volgenant method).
"""

from __future__ import annotations

import itertools
import subprocess
import sys
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from topo.wiring import matching
from topo.wiring.matching import best_pairs


def tables(most_rows: int, most_columns: int, most_value: int) -> st.SearchStrategy[list[list[int]]]:
    """Tables of values with many ties and many zeros."""
    return st.integers(1, most_columns).flatmap(
        lambda width: st.lists(
            st.lists(st.sampled_from([0, 0, 1, 2, most_value]), min_size=width, max_size=width),
            max_size=most_rows,
        )
    )


def best_of_all(values: Sequence[Sequence[int]]) -> int:
    """The greatest sum over every way to give each row a column of its own or none."""
    width = len(values[0]) if values else 0
    columns = [*range(width), *[None] * len(values)]
    return max(
        sum(values[i][j] for i, j in enumerate(chosen) if j is not None)
        for chosen in itertools.permutations(columns, len(values))
    )


@given(tables(4, 3, 7))
@settings(max_examples=150, deadline=None)
def test_nothing_is_better(values: list[list[int]]) -> None:
    total, pairs = best_pairs(values)
    assert total == best_of_all(values) == sum(values[i][j] for i, j in pairs)
    assert len({i for i, _ in pairs}) == len({j for _, j in pairs}) == len(pairs)
    assert all(values[i][j] > 0 for i, j in pairs)


@given(tables(12, 12, 10**12))
@settings(max_examples=60, deadline=None)
def test_as_good_as_another_solver(values: list[list[int]]) -> None:
    total, _ = best_pairs(values)
    if not values:
        assert total == 0
        return
    costs = np.array(values, dtype=float)
    rows, columns = linear_sum_assignment(costs, maximize=True)
    assert total == int(costs[rows, columns].sum())


@given(tables(7, 8, 10**12))
@settings(max_examples=150, deadline=None)
def test_both_ways_give_the_same_pairs(values: list[list[int]]) -> None:
    by_sets = best_pairs(values)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(matching, "SMALL", 0)
        assert best_pairs(values) == by_sets


def test_a_usual_hub_is_assigned_without_importing_networkx() -> None:
    code = (
        "import sys; from topo.wiring import matching as m; m.best_pairs([[3] * 7] * 7); "
        "assert 'networkx' not in sys.modules; m.best_pairs([[3] * 9] * 9); assert 'networkx' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@given(st.integers(1, 12), st.integers(1, 12))
@settings(deadline=None)
def test_of_equals_the_first_in_order(rows: int, columns: int) -> None:
    count = min(rows, columns)
    assert best_pairs([[5] * columns] * rows) == (5 * count, tuple((n, n) for n in range(count)))


def test_values_beyond_what_floats_hold_are_told_apart() -> None:
    big = 10**30
    assert best_pairs([[big, big + 1], [big + 1, big + 2]])[0] == 2 * big + 2
    assert best_pairs([[big, big + 1], [big, big + 3]])[1] == ((0, 0), (1, 1))


def test_nothing_to_assign() -> None:
    assert best_pairs([]) == (0, ())
    assert best_pairs([[], []]) == (0, ())
    assert best_pairs([[0, -5]]) == (0, ())
