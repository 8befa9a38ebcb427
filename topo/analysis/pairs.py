"""Guide cameras with what they share scarce links with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from topo.analysis.sharing import Loss, fifo_loss, holds_a_frame, overlap_chance, transfers_together_s
from topo.model.facts import Range3
from topo.model.outcome import PairOutcome
from topo.model.records import DeviceFacts

if TYPE_CHECKING:
    from topo.analysis.levels import Level
    from topo.model.rig import Rig
    from topo.model.traffic import Flow, Traffic


@dataclass(frozen=True, slots=True)
class Shared:
    """A guide camera, another flow, and the links that cannot carry both, from the nearest to the guide camera up."""

    guide: Flow
    other: Flow
    links: tuple[str, ...]

    def chance(self, likely: Level) -> float | None:
        """How often a frame of the other meets a guide frame; 1 for a stream, None where the cadence is unknown."""
        if not self.other.is_burst:
            return 1.0
        if self.guide.period_s is None:
            return None
        own = likely.transfer_alone_s(self.guide) + likely.fixed_s(self.guide)
        took = likely.transfer_alone_s(self.other) + likely.fixed_s(self.other)
        return overlap_chance(took, own, self.guide.period_s + own)


def shared_links(rig: Rig, traffic: Traffic, levels: tuple[Level, ...]) -> tuple[Shared, ...]:
    """Every guide camera with each other flow that a link of both cannot carry beside it, at some level."""
    roles = {part.id: part.role for part in rig.devices}
    guides = [flow for flow in traffic.flows if roles[flow.device] == "guiding" and flow.is_burst]
    found = []
    for guide in guides:
        for other in traffic.flows:
            if other is not guide:
                links = tuple(dict.fromkeys(name for level in levels for name in level.shared(guide, other)))
                if links:
                    found.append(Shared(guide, other, links))
    return tuple(found)


def pair_outcomes(rig: Rig, shared: tuple[Shared, ...], levels: tuple[Level, ...]) -> tuple[PairOutcome, ...]:
    """What the flows of each pair do to the guide camera, with nothing else on their links."""
    return tuple(_pair(each, levels, rig.device(each.guide.device).facts) for each in shared)


def _pair(shared: Shared, levels: tuple[Level, ...], facts: DeviceFacts) -> PairOutcome:
    guide, other = shared.guide, shared.other
    took = tuple(transfers_together_s((guide, other), level)[guide.device] for level in levels)
    fair, serialised = [], []
    for level, together in zip(levels, took, strict=True):
        contended = bool(level.shared(guide, other))
        fair.append(max(0.0, together - level.transfer_alone_s(guide)) if contended else 0.0)
        serialised.append(_waits(other, level) if contended else 0.0)
    return PairOutcome(
        guide.device,
        other.device,
        shared.links,
        Range3.of(*fair),
        Range3.of(*serialised),
        shared.chance(levels[1]),
        _loss(guide, took, levels, facts).lost,
    )


def _waits(other: Flow, level: Level) -> float:
    """How long the other is served first: one frame of it. A steady flow without frames holds nobody up."""
    return level.transfer_alone_s(other) + level.fixed_s(other) if other.frame_bytes else 0.0


def guide_loss(guide: Flow, flows: tuple[Flow, ...], levels: tuple[Level, ...], facts: DeviceFacts) -> Loss:
    """Whether a burst camera loses frames while all of `flows` run, by its FIFO and memory."""
    if holds_a_frame(facts, guide):
        return Loss("no", None)
    return _loss(guide, tuple(transfers_together_s(flows, level)[guide.device] for level in levels), levels, facts)


def _loss(guide: Flow, took: tuple[float, ...], levels: tuple[Level, ...], facts: DeviceFacts) -> Loss:
    readouts = tuple(level.alone[guide.device] for level in levels)
    shares = tuple(guide.frame_bytes / s if s > 0 else alone for s, alone in zip(took, readouts, strict=True))
    return fifo_loss(facts, guide, shares, took, readouts)
