"""A second solver of trees with loads: networkx's Laplacian, numpy and scipy, all nodes at once. No tests here."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Any

import networkx
import numpy
from scipy import optimize

from topo.power.solve import Joint


def random_tree(rng: random.Random) -> list[Joint]:
    """Up to 14 points behind a source, with loads of all three kinds, up to past what the wires can carry."""
    tree = [Joint(-1)]
    size = rng.randint(1, 14)
    heavy = rng.choice((0.3, 1.0, 1.0, 3.0))
    for _ in range(size):
        kind = rng.choice(("amps", "watts", "watts", "siemens", "none"))
        tree.append(Joint(
            rng.randrange(len(tree)), rng.uniform(0.002, 0.3),
            heavy * rng.uniform(0, 2) if kind == "amps" else 0.0,
            heavy * rng.uniform(0, 25) if kind == "watts" else 0.0,
            heavy * rng.uniform(0, 0.3) if kind == "siemens" else 0.0,
        ))  # fmt: skip
    return tree


def residual(volts: Any, source: float, tree: Sequence[Joint], laplacian: Any) -> Any:
    """What flows into each point but the source's, less what is drawn there, A."""
    every = numpy.concatenate(([source], volts))
    drawn = numpy.array([j.amps + j.siemens * v + (j.watts / v if j.watts else 0.0)
                         for j, v in zip(tree, every, strict=True)])  # fmt: skip
    return (laplacian @ every + drawn)[1:]


def laplacian_of(tree: Sequence[Joint]) -> Any:
    graph: networkx.Graph[int] = networkx.Graph()
    graph.add_nodes_from(range(len(tree)))
    graph.add_weighted_edges_from((j.above, i, 1 / j.ohm) for i, j in enumerate(tree) if j.above >= 0)
    return networkx.laplacian_matrix(graph, nodelist=range(len(tree))).toarray()


def by_nodes(source: float, tree: Sequence[Joint]) -> Any | None:
    """Volts at every point, by scipy from the volts of the source; None where no start finds any."""
    laplacian = laplacian_of(tree)
    for start in (1.0, 0.9, 0.75, 0.6, 0.5):
        found = optimize.root(residual, numpy.full(len(tree) - 1, start * source), (source, tree, laplacian),
                              method="hybr", tol=1e-13)  # fmt: skip
        if abs(residual(found.x, source, tree, laplacian)).max() < 1e-8 and found.x.min() > 0:
            return numpy.concatenate(([source], found.x))
    return None
