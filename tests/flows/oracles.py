"""Slow second solvers to hold the quick ones against. They share no code and no method with topo/analysis."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

import networkx
import numpy
from scipy.optimize import linprog  # type: ignore[import-untyped]

from topo.flows.allocate import Demand

Costs = dict[str, dict[str, float]]


def costs_of(demands: Sequence[Demand]) -> Costs:
    """Seconds per byte by flow and resource, uses of one resource summed."""
    costs: Costs = {}
    for demand in demands:
        row = costs.setdefault(demand.id, {})
        for use in demand.uses:
            row[use.resource] = row.get(use.resource, 0.0) + use.seconds_per_byte
    return costs


def rates_by_linear_programs(demands: Sequence[Demand], capacities: Mapping[str, float]) -> dict[str, float]:
    """Max-min rates by one linear program a level: raise the lowest rate per weight, fix who pays for it, repeat.

    In the program max t, x_f >= w_f t, the rows with a multiplier are tight in every optimum, so those flows have
    their final rate; the multipliers times weights sum to 1, so there is always one. Numbers should be near 1.
    """
    costs, rising = costs_of(demands), list(demands)
    spare = dict(capacities)
    rates: dict[str, float] = {}
    while rising:
        count = len(rising)
        share = numpy.hstack([numpy.diag([-1.0] * count), [[demand.weight] for demand in rising]])
        link = numpy.array([[costs[d.id].get(name, 0.0) for d in rising] + [0.0] for name in spare])
        bounds = [(0.0, None if math.isinf(d.cap) else d.cap) for d in rising] + [(0.0, None)]
        answer = linprog(
            [0.0] * count + [-1.0], A_ub=numpy.vstack([share, link]), b_ub=[0.0] * count + list(spare.values()),
            bounds=bounds, method="highs",
        )
        assert answer.status == 0, answer.message
        paying = [d for d, price in zip(rising, answer.ineqlin.marginals[:count], strict=True) if -price > 1e-7]
        assert paying, "no row of the program has a multiplier"
        for demand in paying:
            rates[demand.id] = min(demand.cap, demand.weight * answer.x[-1])
            for name, cost in costs[demand.id].items():
                spare[name] = max(0.0, spare[name] - cost * rates[demand.id])
        rising = [demand for demand in rising if demand.id not in rates]
    return rates


def rates_by_maximum_flows(
    demands: Sequence[Demand], parents: Mapping[str, str | None], capacities: Mapping[str, float]
) -> dict[str, Fraction]:
    """Exact max-min rates on a tree of resources, unit costs and equal weights, by minimum cuts.

    Each flow enters at its first resource and runs down `parents` to the sink. A common level t is feasible if the
    maximum flow carries t for each flow still rising and the rate of each that has stopped. Where it is not, the
    minimum cut gives the highest t at which that cut would do; cut by cut, t comes down to the feasible one. The
    flows on the near side of the last cut have stopped.
    """
    top = Fraction(1) + sum((Fraction(value) for value in capacities.values()), Fraction(0))
    top += sum((Fraction(d.cap) for d in demands if math.isfinite(d.cap)), Fraction(0))
    rates: dict[str, Fraction] = {}
    while len(rates) < len(demands):
        rising = [demand for demand in demands if demand.id not in rates]
        level, tight = top, list[Demand]()
        while True:
            graph = _network(demands, parents, capacities, {d.id: rates.get(d.id, level) for d in demands})
            value, (near, _) = networkx.minimum_cut(
                graph, "source", "sink", flow_func=networkx.algorithms.flow.edmonds_karp
            )
            held = sum(rates.values(), Fraction(0))
            if value == held + level * len(rising):
                break
            tight = [demand for demand in rising if ("flow", demand.id) in near]
            level = (Fraction(value) - level * (len(rising) - len(tight)) - held) / len(tight)
        rates.update({demand.id: level for demand in tight})
    return rates


def _network(
    demands: Sequence[Demand], parents: Mapping[str, str | None], capacities: Mapping[str, float],
    asks: Mapping[str, Fraction],
) -> networkx.DiGraph[Any]:
    graph: networkx.DiGraph[Any] = networkx.DiGraph()
    for name, parent in parents.items():
        below = "sink" if parent is None else ("link", parent)
        graph.add_edge(("link", name), below, capacity=Fraction(capacities[name]))
    for demand in demands:
        graph.add_edge("source", ("flow", demand.id), capacity=asks[demand.id])
        cap = {} if math.isinf(demand.cap) else {"capacity": Fraction(demand.cap)}
        graph.add_edge(("flow", demand.id), ("link", demand.uses[0].resource), **cap)
    return graph


def rates_by_filling(demands: Sequence[Demand], capacities: Mapping[str, float]) -> dict[str, Fraction]:
    """Exact max-min rates: all resources looked at anew for each level, in fractions. O(flows * uses)."""
    costs = {
        name: {link: Fraction(cost) for link, cost in row.items() if cost} for name, row in costs_of(demands).items()
    }
    weights = {demand.id: Fraction(demand.weight) for demand in demands}
    caps = {demand.id: Fraction(demand.cap) for demand in demands if math.isfinite(demand.cap)}
    rates: dict[str, Fraction] = {}
    while len(rates) < len(demands):
        rising = [demand.id for demand in demands if demand.id not in rates]
        levels = {("cap", name): caps[name] / weights[name] for name in rising if name in caps}
        for link, capacity in capacities.items():
            pull = sum((costs[name].get(link, Fraction(0)) * weights[name] for name in rising), Fraction(0))
            used = sum((costs[name].get(link, Fraction(0)) * rate for name, rate in rates.items()), Fraction(0))
            if pull:
                levels["link", link] = (Fraction(capacity) - used) / pull
        level = min(levels.values())
        for name in rising:
            if levels.get(("cap", name)) == level or any(levels.get(("link", link)) == level for link in costs[name]):
                rates[name] = level * weights[name]
    return rates
