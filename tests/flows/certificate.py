"""Whether an allocation is max-min fair, from the definition alone: knows nothing of how it was computed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from topo.flows.allocate import Allocation, Demand


def violations(
    demands: Sequence[Demand], capacities: Mapping[str, float], allocation: Allocation, tolerance: float = 1e-9
) -> tuple[str, ...]:
    """What keeps an allocation from being weighted max-min fair; empty for a proof that it is.

    Fair means: no resource is over its capacity, and every flow is at its cap or crosses a full resource on which no
    flow has a larger rate per weight (Data Networks, 2nd ed. 1992, 6.5.2; from memory). The named
    bottleneck has to be such a resource, and the loads have to follow from the rates. `tolerance` is relative.
    """
    names = [demand.id for demand in demands]
    if list(allocation.rates) != names or list(allocation.bottleneck) != names:
        return ("the flows of the allocation are not those of the demands, in their order",)
    load, highest = _carried(demands, capacities, allocation.rates)
    return (
        *_overloads(capacities, load, allocation, tolerance),
        *(text for demand in demands for text in _unfair(demand, capacities, load, highest, allocation, tolerance)),
    )


def _carried(
    demands: Sequence[Demand], capacities: Mapping[str, float], rates: Mapping[str, float]
) -> tuple[dict[str, float], dict[str, float]]:
    """The load of each resource (s/s) and the highest rate per weight of the flows on it."""
    parts: dict[str, list[float]] = {name: [] for name in capacities}
    highest = dict.fromkeys(capacities, 0.0)
    for demand in demands:
        rate = rates[demand.id]
        for use in demand.uses:
            if use.seconds_per_byte > 0.0:
                parts[use.resource].append(use.seconds_per_byte * rate)
                highest[use.resource] = max(highest[use.resource], rate / demand.weight)
    return {name: math.fsum(loads) for name, loads in parts.items()}, highest


def _overloads(
    capacities: Mapping[str, float], load: Mapping[str, float], allocation: Allocation, tolerance: float
) -> Iterator[str]:
    for name, capacity in capacities.items():
        if load[name] > capacity * (1.0 + tolerance):
            yield f"resource {name!r} carries {load[name]!r} s/s, above its capacity {capacity!r}"
        if not math.isclose(load[name], allocation.load.get(name, math.nan), rel_tol=tolerance):
            yield f"resource {name!r} carries {load[name]!r} s/s, not {allocation.load.get(name)!r} as stated"


def _unfair(
    demand: Demand,
    capacities: Mapping[str, float],
    load: Mapping[str, float],
    highest: Mapping[str, float],
    allocation: Allocation,
    tolerance: float,
) -> Iterator[str]:
    rate, named = allocation.rates[demand.id], allocation.bottleneck[demand.id]
    if not 0.0 <= rate < math.inf or rate > demand.cap * (1.0 + tolerance):
        yield f"flow {demand.id!r} gets {rate!r} bytes/s, with a cap of {demand.cap!r}"
        return
    full = [
        use.resource
        for use in demand.uses
        if use.seconds_per_byte > 0.0
        and load[use.resource] >= capacities[use.resource] * (1.0 - tolerance)
        and highest[use.resource] <= rate / demand.weight * (1.0 + tolerance)
    ]
    at_cap = rate >= demand.cap * (1.0 - tolerance)
    if not at_cap and not full:
        yield f"flow {demand.id!r} gets {rate!r} of {demand.cap!r} bytes/s, and no full resource holds it back fairly"
    elif named is None and not at_cap:
        yield f"flow {demand.id!r} is below its cap, and no bottleneck is named"
    elif named is not None and named not in full:
        yield f"flow {demand.id!r} is not held back by {named!r}"
