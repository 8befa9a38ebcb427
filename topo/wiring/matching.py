"""The best assignment of rows to columns, exact and always the same one. A door: networkx does the hard work.

Edmonds' blossom method by way of `networkx.max_weight_matching`, in whole numbers throughout, so nothing is rounded.
Importing networkx takes longer than all else in comparing a rig, so what is settled at a glance, and what has so few
columns that every set of them can be gone through (Held and Karp's recurrence), is settled without it.
"""

from __future__ import annotations

from collections.abc import Sequence

SMALL = 8
"""Columns up to which every set of them is gone through: 2^8 sets for each row."""


def best_pairs(values: Sequence[Sequence[int]]) -> tuple[int, tuple[tuple[int, int], ...]]:
    """The pairs (row, column) with the greatest sum of values, each row and column at most once, and that sum.

    Values are whole numbers; 0 and less means "not these two". Of several best ones the first in order: the earliest
    row gets the earliest column it can, then the next row. For that each pair adds a power of two below the unit, the
    first pair the greatest, so that no two sets of pairs weigh the same and every way of solving finds the same one.
    """
    columns = max(map(len, values), default=0)
    possible = [(i, j) for i, row in enumerate(values) for j, value in enumerate(row) if value > 0]
    weights: list[dict[int, int]] = [{} for _ in values]
    for rank, (i, j) in enumerate(possible):
        weights[i][j] = (values[i][j] << len(possible)) + (1 << (len(possible) - 1 - rank))
    pairs = _each_its_best(weights)
    if pairs is None:
        pairs = _by_sets(weights) if columns <= SMALL else _matched(weights)
    return sum(values[i][j] for i, j in pairs), tuple(pairs)


def _each_its_best(weights: Sequence[dict[int, int]]) -> list[tuple[int, int]] | None:
    """Every row with its own best column, where no two rows want the same one: then nothing can be better."""
    pairs = [(i, max(row, key=row.__getitem__)) for i, row in enumerate(weights) if row]
    return pairs if len({j for _, j in pairs}) == len(pairs) else None


def _by_sets(weights: Sequence[dict[int, int]]) -> list[tuple[int, int]]:
    """For every set of columns the best pairs of the rows so far that use just these, row by row."""
    best: dict[int, tuple[int, tuple[tuple[int, int], ...]]] = {0: (0, ())}
    for i, row in enumerate(weights):
        longer = dict(best)
        for used, (total, pairs) in best.items():
            for j, weight in row.items():
                more = used | 1 << j
                if more != used and total + weight > longer.get(more, (0, ()))[0]:
                    longer[more] = (total + weight, (*pairs, (i, j)))
        best = longer
    return list(max(best.values(), key=lambda found: found[0])[1])


def _matched(weights: Sequence[dict[int, int]]) -> list[tuple[int, int]]:
    import networkx

    rows = len(weights)
    graph: networkx.Graph[int] = networkx.Graph()
    for i, row in enumerate(weights):
        for j, weight in row.items():
            graph.add_edge(i, rows + j, weight=weight)
    chosen = networkx.max_weight_matching(graph)
    return sorted((min(pair), max(pair) - rows) for pair in chosen)
