"""The three ends of what is uncertain, and flows as demands at each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from topo.analysis.allocate import Demand
from topo.analysis.fluid import Burst
from topo.model.traffic import Flow, Traffic

LEVELS = ("low", "likely", "high")
"""Low, likely and high throughput. A download takes longest at `low`."""


@dataclass(frozen=True, slots=True)
class Level:
    """One end of what is uncertain: the capacity of each resource in bus seconds per second."""

    name: str
    capacities: Mapping[str, float]

    def fixed_s(self, flow: Flow) -> float:
        """The time a frame costs besides its bytes: longest where throughput is lowest."""
        return {"low": flow.fixed_s.high, "likely": flow.fixed_s.likely, "high": flow.fixed_s.low}[self.name]


def levels(traffic: Traffic) -> tuple[Level, ...]:
    """The capacities at low, likely and high throughput."""
    return tuple(
        Level(name, {resource.id: getattr(resource.capacity, name) for resource in traffic.resources})
        for name in LEVELS
    )


def demand_of(flow: Flow, cap: float | None = None) -> Demand:
    """A flow as a demand, capped at what it asks for (bytes/s)."""
    return Demand(flow.device, flow.demand_bytes_per_s if cap is None else cap, flow.weight, flow.uses)


def burst_of(flow: Flow) -> Burst:
    """One frame of a flow, starting at time 0."""
    return Burst(demand_of(flow), flow.frame_bytes, 0.0)


def alone_rate(flow: Flow, level: Level) -> float:
    """The rate a flow gets with nothing else on its links, bytes/s."""
    bounds = [level.capacities[use.resource] / use.seconds_per_byte for use in flow.uses]
    return min([flow.demand_bytes_per_s, *bounds])
