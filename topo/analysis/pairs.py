"""Guide cameras with what they share scarce links with."""

from __future__ import annotations

from topo.analysis.levels import Level
from topo.analysis.sharing import Loss, fifo_loss, overlap_chance, transfers_together_s
from topo.model.facts import Facts, Range3
from topo.model.outcome import PairOutcome
from topo.model.rig import Rig
from topo.model.traffic import Flow, Traffic


def pair_outcomes(rig: Rig, traffic: Traffic, levels: tuple[Level, ...]) -> tuple[PairOutcome, ...]:
    """Every guide camera with each other flow that a link of both cannot carry beside it, at some level."""
    roles = {part.id: part for part in rig.devices}
    guides = [flow for flow in traffic.flows if roles[flow.device].role == "guiding" and flow.is_burst]
    found = []
    for guide in guides:
        for other in traffic.flows:
            if other is guide:
                continue
            links = tuple(dict.fromkeys(name for level in levels for name in level.shared(guide, other)))
            if links:
                found.append(_pair(guide, other, links, levels, roles[guide.device].facts))
    return tuple(found)


def _pair(guide: Flow, other: Flow, links: tuple[str, ...], levels: tuple[Level, ...], facts: Facts) -> PairOutcome:
    fair, serialised = [], []
    for level in levels:
        alone = level.transfer_alone_s(guide)
        contended = bool(level.shared(guide, other))
        fair.append(max(0.0, transfers_together_s((guide, other), level)[guide.device] - alone) if contended else 0.0)
        serialised.append(_waits(other, level) if contended else 0.0)
    loss = guide_loss(guide, (guide, other), levels, facts)
    return PairOutcome(
        guide.device,
        other.device,
        links,
        Range3.of(*fair),
        Range3.of(*serialised),
        _chance(guide, other, levels[1]),
        loss.lost,
    )


def _waits(other: Flow, level: Level) -> float:
    """How long the other is served first: one frame of it. A steady flow without frames holds nobody up."""
    return level.transfer_alone_s(other) + level.fixed_s(other) if other.frame_bytes else 0.0


def _chance(guide: Flow, other: Flow, level: Level) -> float | None:
    """How often a frame of the other meets a guide frame; 1 for a stream, None where the guide's cadence is unknown."""
    if not other.is_burst:
        return 1.0
    if guide.period_s is None:
        return None
    own = level.transfer_alone_s(guide) + level.fixed_s(guide)
    return overlap_chance(level.transfer_alone_s(other) + level.fixed_s(other), own, guide.period_s + own)


def guide_loss(guide: Flow, flows: tuple[Flow, ...], levels: tuple[Level, ...], facts: Facts) -> Loss:
    """Whether a burst camera loses frames while all of `flows` run, by its FIFO and memory."""
    shares, lasts, readouts = [], [], []
    for level in levels:
        took = transfers_together_s(flows, level)[guide.device]
        readout = level.alone[guide.device]
        shares.append(guide.frame_bytes / took if took > 0 else readout)
        lasts.append(took)
        readouts.append(readout)
    return fifo_loss(facts, guide, tuple(shares), tuple(lasts), tuple(readouts))
