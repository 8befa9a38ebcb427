"""What each link carries: on average (printed, and said to mislead), at its peak, and what is asked of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from topo.analysis.levels import Level, demand_of
from topo.flows.allocate import allocate
from topo.model.outcome import DeviceOutcome, LinkOutcome

if TYPE_CHECKING:
    from topo.model.line import SerialLine
    from topo.model.traffic import Flow, Resource, Traffic


def link_outcomes(
    traffic: Traffic, levels: tuple[Level, ...], devices: tuple[DeviceOutcome, ...]
) -> tuple[LinkOutcome, ...]:
    """The outcome of every resource, in the order the file makes them."""
    likely = levels[1]
    allocation = allocate(tuple(demand_of(flow) for flow in traffic.flows), likely.capacities)
    cadence = {device.id: device.cadence_s for device in devices}
    asked = asked_of(traffic, {device.id: device.asked_mb_per_s or 0.0 for device in devices})
    on: dict[str, list[tuple[Flow, float]]] = {resource.id: [] for resource in traffic.resources}
    for flow in traffic.flows:
        for use in flow.uses:
            on[use.resource].append((flow, use.seconds_per_byte))
    lines = {line.id: line for line in traffic.lines}
    return tuple(
        _line(resource, lines[resource.id], asked[resource.id]) if resource.kind == "serial-line" else _outcome(
            resource, on[resource.id], allocation.load[resource.id], likely, cadence, asked[resource.id]
        )
        for resource in traffic.resources
    )


def asked_of(traffic: Traffic, asked_mb_per_s: Mapping[str, float]) -> dict[str, float]:
    """What is asked of each link, MB/s, from what each device asks for; of a serial line what its polls do."""
    on: dict[str, list[float]] = {resource.id: [] for resource in traffic.resources}
    for flow in traffic.flows:
        for use in flow.uses:
            on[use.resource].append(asked_mb_per_s[flow.device])
    polls = {line.id: math.fsum(each.payload_bytes / each.period_s for each in line.askers) / 1e6
             for line in traffic.lines}
    return {
        resource.id: polls[resource.id] if resource.kind == "serial-line" else math.fsum(on[resource.id])
        for resource in traffic.resources
    }


def _line(resource: Resource, line: SerialLine, asked: float) -> LinkOutcome:
    """A serial line: what polls ask of it is there all night, so its average is its peak, and may pass 1."""
    return _link(resource, 0.0, (line.load.likely, line.load.likely), asked, (each.part for each in line.askers))


def _outcome(
    resource: Resource, flows: list[tuple[Flow, float]], peak: float, level: Level, cadence: dict[str, float | None],
    asked_mb_per_s: float,
) -> LinkOutcome:
    capacity = level.capacities[resource.id]
    busy = math.fsum(cost * _average_rate(flow, cadence[flow.device], level) for flow, cost in flows)
    loads = (min(1.0, busy / capacity), min(1.0, peak / capacity)) if capacity > 0 else (1.0, 1.0)
    return _link(resource, resource.reserved, loads, asked_mb_per_s, (flow.device for flow, _ in flows))


def _link(
    resource: Resource, reserved: float, loads: tuple[float, float], asked_mb_per_s: float, carries: Iterable[str]
) -> LinkOutcome:
    """A resource with what it carries; `loads` its average and its peak."""
    average, peak = loads
    return LinkOutcome(
        id=resource.id,
        kind=resource.kind,
        direction=resource.direction,
        label=resource.label,
        legs=resource.legs,
        ceiling_mb_per_s=resource.ceiling_mb_per_s,
        expected_mb_per_s=resource.expected_mb_per_s,
        reserved=reserved,
        load_average=average,
        load_peak=peak,
        asked_mb_per_s=asked_mb_per_s,
        carries=tuple(dict.fromkeys(carries)),
        basis=resource.basis,
        assumption=resource.assumption,
    )


def _average_rate(flow: Flow, cadence_s: float | None, level: Level) -> float:
    """Bytes/s over the night: a frame each cadence for stills (0 where that is unknown), the demand for others."""
    if not flow.is_burst:
        return level.alone[flow.device]
    return flow.frame_bytes / cadence_s if cadence_s else 0.0
