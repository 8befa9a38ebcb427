"""Weighted max-min fair rates of flows over shared resources. Only numbers here: nothing of USB, rigs or time.

Progressive filling (Data Networks, 2nd ed. 1992, 6.5.2; from memory): the rates of all flows rise together
as level * weight. A flow stops at its cap, or when a resource it uses is full; then the others go on. No flow can get
more without taking from one whose rate per weight is no higher. The tests hold every allocation to that.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.traffic import Use

SMALLEST, LARGEST = 1e-200, 1e200
"""Bounds of seconds per byte times weight, so that sums of it neither vanish nor overflow."""

_WORN = 2.0**-10
"""Part of a pull that may be left by subtraction before it is summed anew, to keep its relative error small."""


@frozen
class Demand:
    """A flow that asks for at most `cap` bytes/s (may be inf) and shares full resources in proportion to `weight`."""

    id: str
    cap: float
    weight: float
    uses: tuple[Use, ...]


@frozen
class Allocation:
    """What each flow gets, in the order of the demands, and what each resource carries, in the order of capacities.

    `rates` in bytes/s; `bottleneck` is the full resource that limits a flow, None where it gets its cap; `load` in
    seconds of bus time per second.
    """

    rates: Mapping[str, float]
    bottleneck: Mapping[str, str | None]
    load: Mapping[str, float]


class Filling:
    """A resource while it fills: the load of flows that stopped (s/s), and what rising ones pull for each level.

    Knows its flows but not their ways: without cycles all of it is freed at once, and the collector has no work.
    """

    __slots__ = ("asked", "capacity", "load", "members", "name", "pull", "summed")

    def __init__(self, name: str, capacity: float) -> None:
        self.name = name
        self.capacity = capacity
        self.asked = 0.0
        self.load = 0.0
        self.pull = 0.0
        self.summed = 0.0
        self.members: list[tuple[Demand, float]] = []

    def full_at(self, rates: Mapping[str, float]) -> float:
        """The level at which this is full if no more flows stop before; inf once all have stopped."""
        if self.pull < self.summed * _WORN:
            self.pull = self.summed = math.fsum(
                cost * demand.weight for demand, cost in self.members if demand.id not in rates
            )
        if not self.pull:
            return math.inf
        return (self.capacity - self.load) / self.pull if self.capacity > self.load else 0.0


_Paths = dict[str, list[tuple[Filling, float]]]


def allocate(demands: Sequence[Demand], capacities: Mapping[str, float]) -> Allocation:
    """Weighted max-min fair rates by a heap of the levels at which resources fill: O((F + U) log(F + U)).

    F flows, U uses. `capacities` in seconds of bus time per second, at least 0 (inf: never full). Uses of one resource
    add up; those of 0 s/byte cost nothing. Where a flow reaches its cap as its resource fills, the cap counts; where
    resources fill together, the one that comes first in the demands is named. Raises ValueError on a number out of
    range, an unknown resource, an id given twice, and a flow that nothing limits.
    """
    links, paths = wire(demands, capacities)
    # One entry a resource. Levels only rise as flows stop, so an entry may be too low, never too high: it is
    # corrected when it comes up. The number settles ties, so that links themselves are never compared.
    heap = [
        (link.full_at({}), number, link) for number, link in enumerate(links.values()) if link.asked > link.capacity
    ]
    heapq.heapify(heap)
    rates: dict[str, float] = {}
    bottleneck: dict[str, str | None] = dict.fromkeys(paths)
    for demand in sorted(demands, key=_cap_level):
        limit = demand.cap / demand.weight
        while heap and heap[0][0] < limit:
            level, number, link = heap[0]
            now = link.full_at(rates)
            if now > level:
                heapq.heapreplace(heap, (now, number, link))
                continue
            heapq.heappop(heap)
            for member, _ in link.members:
                if member.id not in rates:
                    bottleneck[member.id] = link.name
                    _stop(member, min(member.cap, level * member.weight), rates, paths)
        if demand.id not in rates:
            _stop(demand, demand.cap, rates, paths)
    return Allocation(
        {name: rates[name] for name in paths},
        bottleneck,
        {name: links[name].load if name in links else 0.0 for name in capacities},
    )


def _cap_level(demand: Demand) -> float:
    return demand.cap / demand.weight


def _stop(demand: Demand, rate: float, rates: dict[str, float], paths: _Paths) -> None:
    """Fixes the rate of a flow and takes it off what its resources have to give."""
    if rate == math.inf:
        raise ValueError(f"flow {demand.id!r} has no cap, and no resource limits it")
    rates[demand.id] = rate
    weight = demand.weight
    for link, cost in paths[demand.id]:
        link.load += cost * rate
        link.pull -= cost * weight


def wire(demands: Sequence[Demand], capacities: Mapping[str, float]) -> tuple[dict[str, Filling], _Paths]:
    """The resources in use, in the order in which demands name them, and each flow's way over them."""
    links: dict[str, Filling] = {}
    paths: _Paths = {}
    for demand in demands:
        name, cap, weight = demand.id, demand.cap, demand.weight
        if not (cap >= 0.0 and 0.0 < weight < math.inf) or name in paths:
            raise ValueError(_complaint(demand))
        path = paths[name] = []
        for use in demand.uses:
            cost = use.seconds_per_byte
            pull = cost * weight
            if not SMALLEST < pull < LARGEST:
                if cost == 0.0:
                    continue
                raise ValueError(f"flow {name!r}: {cost!r} s/byte at weight {weight!r} is out of range")
            link = links.get(use.resource)
            if link is None:
                link = links[use.resource] = Filling(use.resource, _capacity(demand, use.resource, capacities))
            link.asked += cost * cap
            link.pull += pull
            link.members.append((demand, cost))
            path.append((link, cost))
    for link in links.values():
        link.summed = link.pull
    return links, paths


def _capacity(demand: Demand, resource: str, capacities: Mapping[str, float]) -> float:
    capacity = capacities.get(resource)
    if capacity is None:
        raise ValueError(f"flow {demand.id!r} uses {resource!r}, which has no capacity given")
    if not capacity >= 0.0:
        raise ValueError(f"the capacity of {resource!r} must be a number of 0 or more, not {capacity!r}")
    return capacity


def _complaint(demand: Demand) -> str:
    if not demand.cap >= 0.0:
        return f"the cap of flow {demand.id!r} must be a number of 0 or more, not {demand.cap!r}"
    if not 0.0 < demand.weight < math.inf:
        return f"the weight of flow {demand.id!r} must be above 0 and finite, not {demand.weight!r}"
    return f"flow {demand.id!r} is given twice"


def groups(demands: Sequence[Demand], capacities: Mapping[str, float]) -> Iterator[list[int]]:
    """The flows in groups that no resource joins which all of them at full rate could fill. Numbers of `demands`.

    Flows of different groups never see each other. Raises ValueError as `allocate` does.
    """
    links, _ = wire(demands, capacities)
    parent = list(range(len(demands)))

    def root(number: int) -> int:
        while parent[number] != number:
            parent[number] = number = parent[parent[number]]
        return number

    numbers = {demand.id: number for number, demand in enumerate(demands)}
    for link in links.values():
        if link.asked > link.capacity:
            first = numbers[link.members[0][0].id]
            for demand, _ in link.members[1:]:
                one, other = root(numbers[demand.id]), root(first)
                parent[max(one, other)] = min(one, other)
    found: dict[int, list[int]] = {}
    for number in range(len(demands)):
        found.setdefault(root(number), []).append(number)
    yield from found.values()
