"""What each device gets: its speed, its download alone and together, its delays and losses."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from topo.analysis.levels import Level, asked_rates, at_ceiling, demand_of, knows_links
from topo.analysis.streams import Dip, Stream, Streaming, dips_of, stream_at, streaming
from topo.flows.allocate import allocate
from topo.frozen import replace
from topo.model.facts import Range3
from topo.model.outcome import DeviceOutcome, Lost
from topo.night.buffers import knows_its_buffer
from topo.night.casting import SCREEN, ceiling_cast
from topo.night.meet import all_wait, meeting
from topo.night.outcome import Nights
from topo.night.situation import situation
from topo.night.verdict import may_lose, soonest_lost_s, surely_lost

if TYPE_CHECKING:
    from topo.model.night import GuideDelay
    from topo.model.rig import Device
    from topo.model.traffic import Flow, Traffic
    from topo.night.meet import Met
    from topo.night.situation import Situation
    from topo.wiring.topology import Topology


class EachDevice:
    """The outcomes of the devices of one rig, each computed when it is asked for; what all flows at once come to, at
    each level, once for all of them."""

    def __init__(
        self, topology: Topology, traffic: Traffic, levels: tuple[Level, ...], nights: Nights,
        delay_of: Callable[[str], GuideDelay | None],
    ) -> None:
        self.topology = topology
        self.traffic = traffic
        self.flows = {flow.device: flow for flow in traffic.flows}
        self.levels = levels
        self.nights = nights
        self.delay_of = delay_of
        self.guides = {each.camera for each in nights.plan.guiding}
        self._known: dict[str, DeviceOutcome] = {}
        self._situations: dict[str, Situation] = {}

    def of(self, part: Device) -> DeviceOutcome:
        """The outcome of one device."""
        if part.id not in self._known:
            self._known[part.id] = self._outcome(part)
        return self._known[part.id]

    def situation(self, camera: str) -> Situation:
        """What the night of one camera of single frames depends on."""
        if camera not in self._situations:
            self._situations[camera] = situation(self.nights, camera)
        return self._situations[camera]

    def loses(self, part: Device) -> bool:
        """Whether its outcome says that it loses frames, or may."""
        flow = self.flows.get(part.id)
        if flow is not None and flow.kind == "video":
            return self.streaming(flow).skipped.high > 0.0
        return self.may_lose(part)

    @cached_property
    def met(self) -> Mapping[str, Mapping[str, Met]]:
        """The worst coincidence at each level, where all wait."""
        casts = self.nights.casts.items()
        return {name: meeting(replace(cast, flows=all_wait(cast.flows)), "fair") for name, cast in casts}

    @cached_property
    def rates(self) -> tuple[Mapping[str, float], ...]:
        """What each flow gets at each level while all ask, bytes/s."""
        everything = tuple(demand_of(flow) for flow in self.traffic.flows)
        return tuple(allocate(everything, level.capacities).rates for level in self.levels)

    @cached_property
    def steady(self) -> tuple[Mapping[str, float], ...]:
        """The same while no camera of single frames downloads."""
        steady = tuple(demand_of(flow) for flow in self.traffic.flows if not flow.is_burst)
        return tuple(allocate(steady, level.capacities).rates for level in self.levels)

    @cached_property
    def asked(self) -> Mapping[str, float]:
        """What each flow asks for, bytes/s."""
        return asked_rates(self.traffic)

    @cached_property
    def _losing(self) -> Mapping[str, Met]:
        """The worst coincidence with the buffers there are, at their smallest, where links carry least."""
        return meeting(self.nights.casts["low"], "fair")

    @cached_property
    def contended(self) -> dict[str, tuple[Flow, ...]]:
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
        casts = self.nights.casts.values()
        return Range3.of(
            *sorted(cast.alone_s.get(flow.device, math.inf) + cast.fixed_s.get(flow.device, 0.0) for cast in casts)
        )

    def together_s(self, flow: Flow) -> Range3:
        if flow.is_burst:
            return Range3.of(*sorted(
                (met[flow.device].took_s if flow.device in met else math.inf)
                + self.nights.casts[name].fixed_s.get(flow.device, 0.0) for name, met in self.met.items()
            ))
        return Range3.of(*sorted(
            flow.frame_bytes / rates[flow.device] if rates[flow.device] > 0 else math.inf for rates in self.rates
        ))

    def cycle_s(self, flow: Flow) -> float | None:
        """Seconds from one frame to the next, likely; None where the exposure is not known. A guide camera's as the
        night runs it, with what a cycle takes besides."""
        if (delay := self.delay_of(flow.device)) is not None:
            return delay.cycle_s
        if flow.period_s is None:
            return None
        return flow.period_s + (self.alone_s(flow).likely if flow.is_burst and flow.frame_bytes else 0.0)

    def streaming(self, flow: Flow) -> Streaming:
        """A stream's night."""
        bursts = tuple(other for other in self.contended[flow.device] if other.is_burst)
        cycles = {other.device: self.cycle_s(other) for other in bursts}
        found: list[Stream] = []
        dips: tuple[Dip, ...] = ()
        for level, steady, rates in zip(self.levels, self.steady, self.rates, strict=True):
            took = {name: met.took_s for name, met in self.met[level.name].items()}
            here = dips_of(bursts, took, cycles)
            dips = dips or here
            moving = self.nights.casts[level.name].flows
            buffer = next((each.buffer_bytes for each in moving if each.name == flow.device), 0.0)
            found.append(stream_at(flow, steady[flow.device], rates[flow.device], here, buffer))
        return streaming(found, dips)

    def loss(self, part: Device) -> tuple[Lost, float]:
        """Whether a camera of single frames loses some, and after what time at the soonest; no of anything else."""
        if not self._may(part):
            return "no", math.inf
        here = self.situation(part.id)
        after = soonest_lost_s(here)
        if after == math.inf:
            return "no", math.inf
        certain = self._knows_all_of(part) and surely_lost(here, self._doubted) and surely_lost(
            situation(self._at_most, part.id), self._doubted)
        return ("certain" if certain else "possible"), after

    def _knows_all_of(self, part: Device) -> bool:
        """Whether nothing of a camera itself is assumed, nor which links it shares and how these are shared."""
        flow = self.flows[part.id]
        return knows_its_buffer(part.facts) and flow.basis != "assumed" and knows_links(self.traffic, flow)

    @cached_property
    def _doubted(self) -> frozenset[str]:
        """The flows that may ask for less than is taken."""
        return frozenset(name for name, flow in self.flows.items() if flow.basis == "assumed") | {SCREEN}

    @cached_property
    def _at_most(self) -> Nights:
        """The nights with links that carry all that the protocol allows: no computer delivers more, so what is lost
        there is lost for certain."""
        cast = ceiling_cast(self.topology.rig, at_ceiling(self.traffic))
        return Nights(self.nights.plan, dict.fromkeys(self.nights.casts, cast))

    def plainly_loses(self, part: Device) -> bool:
        """Whether one other is enough for a loss with what is taken of links and of the others, on links as they are
        seen to carry; what is known of the camera itself."""
        return self._may(part) and knows_its_buffer(part.facts) and surely_lost(self.situation(part.id), frozenset())

    def may_lose(self, part: Device) -> bool:
        """Whether it loses some, or may."""
        return self._may(part) and may_lose(self.situation(part.id))

    def _may(self, part: Device) -> bool:
        flow = self.flows.get(part.id)
        if flow is None or flow.kind != "still":
            return False
        if part.id in self.guides:
            return True
        harsh = self._losing.get(part.id)
        return harsh is not None and harsh.lost_after_s < math.inf

    def _outcome(self, part: Device) -> DeviceOutcome:
        flow = self.flows.get(part.id)
        base = DeviceOutcome(
            id=part.id,
            role=part.role,
            path=tuple(leg.plug for leg in self.topology.path(part.id)),
            speed=self.topology.speed(part.id),
            could_be=self.topology.could_be(part.id),
            limited_by=self.topology.limit(part.id),
        )
        if flow is None:
            return base
        camera = flow.frame_bytes > 0
        base = replace(
            base,
            flow=flow.kind,
            frame_bytes=int(flow.frame_bytes) if camera else None,
            cadence_s=self.cycle_s(flow),
            alone_s=self.alone_s(flow) if camera else None,
            together_s=self.together_s(flow) if camera else None,
            asked_mb_per_s=self.asked[part.id] / 1e6,
            gets_mb_per_s=Range3.of(*sorted(rates[part.id] / 1e6 for rates in self.rates)),
        )
        if flow.kind == "video":
            return _streamed(base, self.streaming(flow))
        if (delay := self.delay_of(part.id)) is not None:
            return _delayed(base, delay)
        lost, after = self.loss(part)
        return replace(base, lost=lost, lost_after_s=None if lost == "no" else after)


def _streamed(base: DeviceOutcome, night: Streaming) -> DeviceOutcome:
    lost: Lost = "no" if night.skipped.high <= 0.0 else "certain" if night.skipped.low > 0.0 else "possible"
    return replace(
        base, night_mb_per_s=night.night_mb_per_s, dip_s=night.dip_s, dip_every_s=night.dip_every_s,
        skipped=night.skipped, lost=lost,
    )


def _delayed(base: DeviceOutcome, delay: GuideDelay) -> DeviceOutcome:
    """A guide camera's delays, as the night has them."""
    return replace(
        base,
        delay_fair_s=delay.late_fair_s,
        delay_last_s=delay.late_last_s,
        chance=delay.chance,
        lost=delay.lost,
        lost_after_s=None if delay.lost == "no" else delay.lost_after_s,
    )
