"""What each device gets: its speed, its download alone and together, its delays and losses."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from topo.analysis.levels import Level, asked_rates, demand_of
from topo.analysis.pairs import Shared, guide_loss
from topo.analysis.sharing import Loss, transfers_together_s
from topo.flows.allocate import allocate
from topo.model.facts import Range3, value_of
from topo.model.outcome import DeviceOutcome, Lost

if TYPE_CHECKING:
    from topo.model.rig import Device
    from topo.model.traffic import Flow, Traffic
    from topo.wiring.topology import Topology


def device_outcomes(
    topology: Topology, traffic: Traffic, levels: tuple[Level, ...], shared: tuple[Shared, ...]
) -> tuple[DeviceOutcome, ...]:
    """The outcome of every device, in the order of the file."""
    night = _Night(traffic, levels)
    return tuple(_outcome(topology, part, night, shared) for part in topology.rig.devices)


class _Night:
    """All flows at once, at each level: computed once for all devices."""

    def __init__(self, traffic: Traffic, levels: tuple[Level, ...]) -> None:
        self.flows = {flow.device: flow for flow in traffic.flows}
        self.levels = levels
        self.together = tuple(transfers_together_s(traffic.flows, level) for level in levels)
        self.rates: tuple[Mapping[str, float], ...] = tuple(
            allocate(tuple(demand_of(flow) for flow in traffic.flows), level.capacities).rates for level in levels
        )
        self.asked = asked_rates(traffic)
        self.contended = self._contended()

    def _contended(self) -> dict[str, tuple[Flow, ...]]:
        """For each flow, those it clashes with at some level, in the order of the file."""
        order = {device: index for index, device in enumerate(self.flows)}
        clashing: dict[str, set[str]] = {device: set() for device in self.flows}
        for level in self.levels:
            for one, other in level.clashes:
                clashing[one].add(other)
                clashing[other].add(one)
        return {
            device: tuple(self.flows[name] for name in sorted(others, key=order.__getitem__))
            for device, others in clashing.items()
        }

    def alone_s(self, flow: Flow) -> Range3:
        return Range3.of(*(level.transfer_alone_s(flow) + level.fixed_s(flow) for level in self.levels))

    def together_s(self, flow: Flow) -> Range3:
        if not flow.is_burst:
            return Range3.of(
                *(
                    flow.frame_bytes / rates[flow.device] + level.fixed_s(flow) if rates[flow.device] > 0 else math.inf
                    for rates, level in zip(self.rates, self.levels, strict=True)
                )
            )
        return Range3.of(
            *(took[flow.device] + level.fixed_s(flow) for took, level in zip(self.together, self.levels, strict=True))
        )

    def delay_fair_s(self, flow: Flow) -> Range3:
        return Range3.of(
            *(
                max(0.0, took[flow.device] - level.transfer_alone_s(flow))
                for took, level in zip(self.together, self.levels, strict=True)
            )
        )

    def delay_serialised_s(self, flow: Flow) -> Range3:
        return Range3.of(
            *(
                math.fsum(
                    level.transfer_alone_s(other) + level.fixed_s(other)
                    for other in self.contended[flow.device]
                    if other.frame_bytes and level.shared(flow, other)
                )
                for level in self.levels
            )
        )

    def loss(self, part: Device, flow: Flow) -> Loss:
        if flow.kind == "video":
            short = (
                [rates[part.id] < flow.demand_bytes_per_s * (1 - 1e-9) for rates in self.rates]
                if math.isfinite(flow.demand_bytes_per_s)
                else [False]
            )
            lost: Lost = "certain" if all(short) else "possible" if any(short) else "no"
            return Loss(lost, None)
        if flow.kind != "still" or not self.contended[part.id]:
            return Loss("no", None)
        return guide_loss(flow, (flow, *self.contended[part.id]), self.levels, part.facts)


def _outcome(topology: Topology, part: Device, night: _Night, shared: tuple[Shared, ...]) -> DeviceOutcome:
    flow = night.flows.get(part.id)
    base = DeviceOutcome(
        id=part.id,
        role=part.role,
        path=tuple(leg.plug for leg in topology.path(part.id)),
        speed=topology.speed(part.id),
        could_be=topology.could_be(part.id),
        limited_by=topology.limit(part.id),
    )
    return base if flow is None else _with_flow(base, topology, part, flow, night, shared)


def _with_flow(
    base: DeviceOutcome, topology: Topology, part: Device, flow: Flow, night: _Night, shared: tuple[Shared, ...]
) -> DeviceOutcome:
    camera = flow.frame_bytes > 0
    alone = night.alone_s(flow) if camera else None
    loss = night.loss(part, flow)
    guiding = part.role == "guiding" and flow.is_burst
    fair = night.delay_fair_s(flow) if guiding else None
    serialised = night.delay_serialised_s(flow) if guiding else None
    drift = _drift(topology, part)
    return DeviceOutcome(
        id=base.id,
        role=base.role,
        path=base.path,
        speed=base.speed,
        could_be=base.could_be,
        limited_by=base.limited_by,
        flow=flow.kind,
        frame_bytes=int(flow.frame_bytes) if camera else None,
        cadence_s=None if flow.period_s is None else flow.period_s + (alone.likely if alone and flow.is_burst else 0.0),
        alone_s=alone,
        together_s=night.together_s(flow) if camera else None,
        asked_mb_per_s=night.asked[part.id] / 1e6,
        gets_mb_per_s=Range3.of(*(rates[part.id] / 1e6 for rates in night.rates)),
        delay_fair_s=fair,
        delay_serialised_s=serialised,
        drift_fair_arcsec=fair.scaled(drift) if fair and drift is not None else None,
        drift_serialised_arcsec=serialised.scaled(drift) if serialised and drift is not None else None,
        overlap_chance=_overlap(part, shared, night.levels[1]),
        lost=loss.lost,
        lost_after_s=loss.after_s,
    )


def mount_of(topology: Topology, guide: Device) -> Device | None:
    """The mount a guide camera steers: the one it names, else the only mount of the rig."""
    mounts = [part for part in topology.rig.devices if part.role == "mount"]
    if guide.guides is not None:
        return next((part for part in mounts if part.id == guide.guides), None)
    return mounts[0] if len(mounts) == 1 else None


def _drift(topology: Topology, part: Device) -> float | None:
    mount = mount_of(topology, part) if part.role == "guiding" else None
    return None if mount is None else value_of(mount.facts.drift_arcsec_per_s)


def _overlap(part: Device, shared: tuple[Shared, ...], likely: Level) -> float | None:
    """The highest chance among the pairs a device is in."""
    chances = [each.chance(likely) for each in shared if part.id in (each.guide.device, each.other.device)]
    return max((chance for chance in chances if chance is not None), default=None)
