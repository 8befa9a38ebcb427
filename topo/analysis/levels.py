"""The three ends of what is uncertain: what links can carry, what each flow gets alone, which flows clash."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from topo.flows.allocate import Demand
from topo.frozen import frozen, replace
from topo.model.facts import Range3

if TYPE_CHECKING:
    from topo.model.traffic import Flow, Resource, Traffic

LEVELS = ("low", "likely", "high")
"""Low, likely and high throughput. A download takes longest at `low`."""

ROOM = 1 + 1e-9
"""Two flows that fill a link to the last bit do not clash; rounding may not make them."""


@frozen
class Level:
    """One end of what is uncertain.

    `capacities` are bus seconds per second of each resource; `alone` the rate of each flow with nothing else on its
    links, bytes/s; `clashes` the links that cannot carry two flows at these rates, by the devices of both.
    """

    name: str
    capacities: Mapping[str, float]
    alone: Mapping[str, float]
    clashes: Mapping[tuple[str, str], tuple[str, ...]]

    def fixed_s(self, flow: Flow) -> float:
        """The time a frame costs besides its bytes: longest where throughput is lowest."""
        return {"low": flow.fixed_s.high, "likely": flow.fixed_s.likely, "high": flow.fixed_s.low}[self.name]

    def shared(self, flow: Flow, other: Flow) -> tuple[str, ...]:
        """Links both use that cannot carry both at their full rates, in the order of the first flow's path."""
        links = self.clashes.get((flow.device, other.device)) or self.clashes.get((other.device, flow.device))
        return () if links is None else tuple(use.resource for use in flow.uses if use.resource in links)


def levels(traffic: Traffic) -> tuple[Level, ...]:
    """The three ends: low, likely and high throughput."""
    found = []
    for name in LEVELS:
        capacities = {resource.id: getattr(resource.capacity, name) for resource in traffic.resources}
        alone = {flow.device: _alone_rate(flow, capacities) for flow in traffic.flows}
        found.append(Level(name, capacities, alone, _clashes(traffic, capacities, alone)))
    return tuple(found)


def _alone_rate(flow: Flow, capacities: Mapping[str, float]) -> float:
    """The rate a flow gets with nothing else on its links, bytes/s."""
    bounds = [capacities[use.resource] / use.seconds_per_byte for use in flow.uses]
    return min([flow.demand_bytes_per_s, *bounds])


def _clashes(
    traffic: Traffic, capacities: Mapping[str, float], alone: Mapping[str, float]
) -> dict[tuple[str, str], tuple[str, ...]]:
    """Pairs of flows whose full rates together pass a link, with these links.

    The flows of a link are taken by falling share, so that the search ends at the first pair that fits.
    """
    on: dict[str, list[tuple[float, int]]] = {resource.id: [] for resource in traffic.resources}
    for index, flow in enumerate(traffic.flows):
        for use in flow.uses:
            on[use.resource].append((use.seconds_per_byte * alone[flow.device], index))
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    for resource, shares in on.items():
        shares.sort(key=lambda share: (-share[0], share[1]))
        room = capacities[resource] * ROOM
        for place, (share, index) in enumerate(shares):
            for other_share, other in shares[place + 1 :]:
                if share + other_share <= room:
                    break
                pair = (traffic.flows[min(index, other)].device, traffic.flows[max(index, other)].device)
                found[pair] = (*found.get(pair, ()), resource)
    return found


def asked_rates(traffic: Traffic) -> dict[str, float]:
    """What each flow asks for, bytes/s: what its source gives, at most what its links deliver at best with nothing else
    on them and nothing reserved. One figure wherever a table says 'asks'."""
    best = {
        each.id: each.expected_mb_per_s.high / each.ceiling_mb_per_s for each in traffic.resources
    }
    return {
        flow.device: min([flow.demand_bytes_per_s, *(best[use.resource] / use.seconds_per_byte for use in flow.uses)])
        for flow in traffic.flows
    }


def at_ceiling(traffic: Traffic) -> Traffic:
    """The same with links that carry all that the protocol allows, less what is reserved on them."""
    def most(link: Resource) -> Resource:
        if link.kind == "serial-line":
            return link
        expected, capacity = Range3.of(link.ceiling_mb_per_s), Range3.of(max(0.0, 1.0 - link.reserved))
        return replace(link, expected_mb_per_s=expected, capacity=capacity)

    return replace(traffic, resources=tuple(map(most, traffic.resources)))


def knows_links(traffic: Traffic, flow: Flow) -> bool:
    """Whether nothing is assumed of the links that a flow takes but what they carry: who is on them, how they share."""
    links = {use.resource for use in flow.uses}
    return not any(each.assumption for each in traffic.resources if each.id in links)


def demand_of(flow: Flow) -> Demand:
    """A flow as a demand, capped at what it asks for (bytes/s)."""
    return Demand(flow.device, flow.demand_bytes_per_s, flow.weight, flow.uses)
