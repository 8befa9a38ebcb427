"""The worst coincidence: every frame starts in the same moment, while all that is steady runs on.

On one link a frame that starts later finds less left of the others, so nothing is later than this, provided nobody
loses data: what is lost need not be sent. So how late a frame comes is asked with cameras that all wait, and whether it
is lost with the buffers they have. Over several links it is taken as the worst and not proven: shares there are known
not to be monotone (tests/night/ shows such a case).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from topo.night.stage import Stage

if TYPE_CHECKING:
    from topo.model.night import Discipline
    from topo.night.run import Cast


@dataclass(frozen=True, slots=True)
class Met:
    """What became of one frame: seconds until it was through (inf: never), and until its first byte was lost."""

    took_s: float
    lost_after_s: float


def all_wait(cast: Cast) -> Cast:
    """The cast with cameras that lose nothing, however long they have to wait."""
    return replace(cast, flows=tuple(replace(flow, buffer_bytes=math.inf) for flow in cast.flows))


def meeting(cast: Cast, discipline: Discipline) -> Mapping[str, Met]:
    """Every burst of a cast started at once, by flow, in their order."""
    stage = Stage(cast.flows, cast.capacities, discipline)
    found: dict[str, Met] = {}

    def through(name: str, now: float, first_lost: float) -> None:
        found[name] = Met(now, first_lost)

    for flow in cast.flows:
        if flow.steady:
            stage.switch(flow.name, True)
    for flow in cast.flows:
        if not flow.steady and cast.sizes[flow.name] > 0.0:
            stage.send(flow.name, cast.sizes[flow.name], partial(through, flow.name))
    stage.drain()
    for flow in cast.flows:
        if not flow.steady and flow.name not in found:
            found[flow.name] = _stuck(stage, flow.name)
    return {flow.name: found[flow.name] for flow in cast.flows if not flow.steady}


def _stuck(stage: Stage, name: str) -> Met:
    """A frame that gets nothing any more: its buffer fills as fast as it is read out. One of no bytes is through."""
    channel = stage.channels[name]
    if not channel.running:
        return Met(0.0, math.inf)
    room = (channel.flow.buffer_bytes - channel.backlog) / channel.flow.cap
    return Met(math.inf, min(channel.first_lost, stage.groups[name].now + room))
