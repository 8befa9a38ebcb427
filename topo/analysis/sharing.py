"""What two flows do to each other: the added delay of a guide frame, the chance that they meet, and frames lost.

Three assumptions side by side, never just one: fair sharing on the wire; everything else served first, by a driver
or an unfair host; the frame lost because a camera without frame memory overflows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from topo.analysis.levels import Level, burst_of, demand_of
from topo.flows.fluid import finish_times
from topo.model.facts import Range3, value_of
from topo.model.records import DeviceFacts

if TYPE_CHECKING:
    from topo.model.outcome import Lost
    from topo.model.traffic import Flow


def transfers_together_s(flows: tuple[Flow, ...], level: Level) -> Mapping[str, float]:
    """Seconds each frame takes when all bursts start at once and steady flows run on.

    On one link with equal shares that is the worst coincidence: a frame that starts later finds less left of the
    others. Over several links it is taken as such and not proven.
    """
    bursts = tuple(burst_of(flow) for flow in flows if flow.is_burst)
    steady = tuple(demand_of(flow) for flow in flows if not flow.is_burst)
    return finish_times(bursts, steady, level.capacities)


def overlap_chance(download_s: float, guide_transfer_s: float, cadence_s: float) -> float:
    """Chance that a download meets at least one guide transfer: (d + t) / T, at most 1.

    A download of d seconds placed at random in a train of transfers of t seconds every T seconds.
    """
    return 1.0 if cadence_s <= 0 else min(1.0, (download_s + guide_transfer_s) / cadence_s)


@dataclass(frozen=True, slots=True)
class Loss:
    """Whether frames are lost, and seconds of contention until the buffer runs over where it does (per level)."""

    lost: Lost
    after_s: Range3 | None


def holds_a_frame(facts: DeviceFacts, flow: Flow) -> bool:
    """Whether a camera's memory is known to hold one frame: it only waits."""
    memory = value_of(facts.frame_memory_mb)
    return memory is not None and memory * 1e6 >= flow.frame_bytes


def fifo_loss(
    facts: DeviceFacts,
    flow: Flow,
    shares: tuple[float, ...],
    together_s: tuple[float, ...],
    readouts: tuple[float, ...],
) -> Loss:
    """Loss by FIFO arithmetic: without frame memory a camera overflows after fifo / (readout - share) seconds.

    `shares` are the rates under contention, `together_s` how long it lasts, `readouts` what the camera hands out
    alone (bytes/s), each at low, likely and high. A camera whose memory holds a frame only waits. Where memory or
    FIFO is not known, loss is `possible` at most.
    """
    if holds_a_frame(facts, flow):
        return Loss("no", None)
    memory = value_of(facts.frame_memory_mb)
    fifo = value_of(facts.fifo_kb)
    room = (fifo or 0.0) * 1000.0
    times = []
    for share, lasts, readout in zip(shares, together_s, readouts, strict=True):
        excess = readout - share
        backlog = excess * min(lasts, flow.frame_bytes / readout) if excess > readout * 1e-9 else 0.0
        if backlog > room:
            times.append(room / excess)
    if not times:
        return Loss("no", None)
    certain = len(times) == len(shares) and memory is not None and fifo is not None
    if fifo is None:
        return Loss("possible", None)
    return Loss("certain" if certain else "possible", Range3.of(min(times), sorted(times)[len(times) // 2], max(times)))
