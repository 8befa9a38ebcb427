"""The worst coincidence: every frame starts in the same moment, while all that is steady runs on.

On one link a frame that starts later finds less left of the others, so nothing is later than this, provided nobody
loses data: what is lost need not be sent. So how late a frame comes is asked with cameras that all wait, and whether it
is lost with the buffers they have. Over several links it is taken as the worst and not proven: shares there are known
not to be monotone (tests/night/ shows such a case).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from functools import partial
from typing import TYPE_CHECKING

from topo.frozen import frozen, replace
from topo.night.stage import Stage

if TYPE_CHECKING:
    from topo.model.night import Discipline
    from topo.model.traffic import Use
    from topo.night.channels import Moving
    from topo.night.run import Cast


SLIGHT = 1e-3
"""Part of a link below which a steady flow is left out: it holds a guide frame of a tenth of a second back by less than
a microframe."""


@frozen
class Met:
    """What became of one frame: seconds until it was through (inf: never), and until its first byte was lost."""

    took_s: float
    lost_after_s: float


def is_slight(rate: float, uses: Iterable[Use], capacities: Mapping[str, float], links: Collection[str]) -> bool:
    """Whether a steady flow of so many bytes/s takes so little of those links that it holds nobody there up by a
    microframe. How full its own serial line is does not matter to them."""
    return all(
        rate * use.seconds_per_byte < SLIGHT * max(capacities[use.resource], SLIGHT)
        for use in uses if use.resource in links
    )


def without_slight(flows: Iterable[Moving], capacities: Mapping[str, float], links: Collection[str]) -> list[Moving]:
    """The flows without those steady ones that are slight on the links."""
    return [flow for flow in flows if not (flow.steady and is_slight(flow.cap, flow.uses, capacities, links))]


def all_wait(flows: Iterable[Moving]) -> tuple[Moving, ...]:
    """The flows, with cameras that lose nothing however long they have to wait."""
    return tuple(replace(flow, buffer_bytes=math.inf) for flow in flows)


def meeting(cast: Cast, discipline: Discipline) -> Mapping[str, Met]:
    """Every burst of a cast started at once, by flow, in their order."""
    links = {use.resource for flow in cast.flows if not flow.steady for use in flow.uses}
    cast = replace(cast, flows=tuple(without_slight(cast.flows, cast.capacities, links)))
    stage = Stage(cast.flows, cast.capacities, discipline)
    found: dict[str, Met] = {}

    def through(name: str, now: float, first_lost: float) -> None:
        found[name] = Met(now, max(0.0, first_lost))  # a full buffer may be full by a rounding too much

    stage.start_together([
        (flow.name, math.inf, None) if flow.steady else
        (flow.name, cast.sizes[flow.name], partial(through, flow.name))
        for flow in cast.flows if flow.steady or cast.sizes[flow.name] > 0.0
    ])
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
    return Met(math.inf, max(0.0, min(channel.first_lost, stage.groups[name].now + room)))
