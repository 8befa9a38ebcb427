"""From USB traffic to what a night needs of its links at each level of throughput: flows, their rates and buffers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, TypeAlias

from topo.model.facts import Range3, value_of
from topo.night.buffers import buffer_bytes
from topo.night.channels import Moving
from topo.night.run import Cast

if TYPE_CHECKING:
    from topo.model.rig import Device, Rig
    from topo.model.traffic import Flow, Resource, Traffic

LEVEL_NAMES = ("low", "likely", "high")
"""Ends of what is uncertain, by the throughput that goes with them."""

SCREEN = "computer/screen"
"""The flow of a remote desktop; other flows are named after their parts, which have no '/' in their names."""

Buffered: TypeAlias = "tuple[str, Flow, Range3 | None]"
"""A flow by its name, with how far its camera may fall behind; None of what sends no frames."""


def casts_of(rig: Rig, traffic: Traffic, screen: Traffic) -> dict[str, Cast]:
    """What the flows of a rig need at low, likely and high throughput, with the computer's screen if it is watched."""
    known = {resource.id for resource in traffic.resources}
    resources = (*traffic.resources, *(each for each in screen.resources if each.id not in known))
    flows = [*_with_buffers(rig, traffic), *((SCREEN, flow, None) for flow in screen.flows)]
    moved = {name for name, _, _ in flows}
    unseen = tuple(part.id for part in rig.devices if part.id not in moved and _takes_pictures(part))
    return {level: _cast(rig, resources, flows, unseen, level) for level in LEVEL_NAMES}


def ceiling_cast(rig: Rig, traffic: Traffic) -> Cast:
    """What the flows of a rig need on links that carry all that their protocols allow, as the traffic has them."""
    return _cast(rig, traffic.resources, _with_buffers(rig, traffic), (), "high")


def _with_buffers(rig: Rig, traffic: Traffic) -> list[Buffered]:
    """The flows by their devices, each with how far a camera may fall behind."""
    return [
        (flow.device, flow, buffer_bytes(rig.device(flow.device).facts, flow.frame_bytes) if flow.frame_bytes else None)
        for flow in traffic.flows
    ]


def _takes_pictures(part: Device) -> bool:
    return part.role == "imaging" and value_of(part.use.mode) != "video"


def _cast(
    rig: Rig, resources: Iterable[Resource], flows: Iterable[Buffered], unseen: tuple[str, ...], level: str
) -> Cast:
    """The flows at one level. Cameras that are `unseen` take pictures, but nothing is known of their downloads: they
    only open and close their shutters."""
    own = {resource.id: _own(resource, level) for resource in resources}
    roles = {part.id: part.role for part in rig.devices}
    moving, sizes, alone, fixed = [], {}, {}, {}
    for name, flow, room in flows:
        cap = own_rate(flow, own)
        if not 0.0 < cap < math.inf:
            continue
        buffer = math.inf
        if room is not None:
            buffer = getattr(room, level)
            sizes[name], alone[name] = flow.frame_bytes, flow.frame_bytes / cap
            fixed[name] = _fixed(flow.fixed_s, level)
        guides = name == flow.device and roles.get(name) == "guiding"
        moving.append(Moving(name, cap, flow.weight, flow.uses, buffer, not flow.is_burst, guides))
    for name in unseen:
        moving.append(Moving(name, 1.0, 1.0, ()))
        sizes[name] = alone[name] = fixed[name] = 0.0
    capacities = {resource.id: getattr(resource.capacity, level) for resource in resources}
    return Cast(level, tuple(moving), capacities, sizes, alone, fixed)


def _own(resource: Resource, level: str) -> float:
    """Seconds per second that one flow finds on a link where no stream has reserved any."""
    expected: float = getattr(resource.expected_mb_per_s, level)
    return expected / resource.ceiling_mb_per_s * max(0.0, 1.0 - resource.reserved + resource.streamed)


def own_rate(flow: Flow, own: Mapping[str, float]) -> float:
    """What a flow's source hands out, bytes/s: never more than its own links let it, whatever others take there."""
    bounds = [own[use.resource] / use.seconds_per_byte for use in flow.uses if use.seconds_per_byte]
    return min([flow.demand_bytes_per_s, *bounds])


def _fixed(times: Range3, level: str) -> float:
    """The time a frame costs besides its bytes: longest where throughput is lowest."""
    return {"low": times.high, "likely": times.likely, "high": times.low}[level]
