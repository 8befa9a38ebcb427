"""Random rigs for the tests of this folder: flows over trees of resources. Numbers near 1."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hypothesis import strategies as st

from topo.flows.allocate import Demand
from topo.model.traffic import Use


@dataclass(frozen=True)
class Tree:
    """Flows that each run from a resource down to the root (`parents` gives the way), and the capacities."""

    demands: tuple[Demand, ...]
    capacities: dict[str, float]
    parents: dict[str, str | None]


@st.composite
def trees(draw: st.DrawFn, plain: bool = False, flows: int = 7, links: int = 5) -> Tree:
    """A tree of 1 to `links` resources with 1 to `flows` flows; `plain`: unit costs, equal weights."""
    count = draw(st.integers(1, links))
    parents: dict[str, str | None] = {"l0": None}
    for number in range(1, count):
        parents[f"l{number}"] = f"l{draw(st.integers(0, number - 1))}"
    sizes = st.integers(0, 12) if plain else st.one_of(st.just(0.0), st.floats(0.125, 8.0))
    capacities = {name: float(draw(sizes)) for name in parents}
    scales = st.just(1.0) if plain else st.sampled_from([1.0, 0.5, 0.75, 1.5, 4.0])
    caps = st.one_of(st.just(math.inf), st.integers(0, 8) if plain else st.one_of(st.just(0.0), st.floats(0.03, 4.0)))
    demands = []
    for number in range(draw(st.integers(1, flows))):
        uses, name, cost = [], draw(st.sampled_from(list(parents))), draw(scales)
        below: str | None = name
        while below is not None:
            uses.append(Use(below, cost * draw(scales)))
            below = parents[below]
        if not plain and draw(st.integers(0, 9)) == 0:
            uses.append(uses[-1])
        demands.append(Demand(f"f{number}", float(draw(caps)), draw(scales), tuple(uses)))
    return Tree(tuple(demands), capacities, parents)
