"""The worst coincidence: every frame starts in the same moment, while all that is steady runs on.

On one link a frame that starts later finds less left of the others, so nothing is later than this, provided nobody
loses data: what is lost need not be sent. So how late a frame comes is asked with cameras that all wait, and whether it
is lost with the buffers they have. Over several links it is taken as the worst and not proven: shares there are known
not to be monotone (tests/night/ shows such a case).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import lru_cache, partial
from typing import TYPE_CHECKING

from topo.frozen import frozen, replace
from topo.night.channels import MOST_REMEMBERED, Moving, Shares
from topo.night.stage import Stage, joined

if TYPE_CHECKING:
    from topo.model.night import Discipline
    from topo.model.traffic import Use
    from topo.night.run import Cast


SLIGHT = 1e-3
"""Part of a link below which a steady flow is left out: it holds a guide frame of a tenth of a second back by less than
a microframe."""


@frozen
class Met:
    """What became of one frame: seconds until it was through (inf: never), and until its first byte was lost."""

    took_s: float
    lost_after_s: float


THROUGH, NEVER = Met(0.0, math.inf), Met(math.inf, math.inf)
"""A frame of no bytes, and one that gets nothing any more and waits."""


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
    return meeting_of(cast.flows, cast.capacities, cast.sizes, discipline)


def meeting_of(
    flows: Sequence[Moving], capacities: Mapping[str, float], sizes: Mapping[str, float], discipline: Discipline
) -> Mapping[str, Met]:
    """The same of some flows, with the bytes of each burst."""
    links = {use.resource for flow in flows if not flow.steady for use in flow.uses}
    if any(flow.steady for flow in flows):
        flows = without_slight(flows, capacities, links)
        links.update(use.resource for flow in flows if flow.steady for use in flow.uses)
    found = _met(
        tuple((flow.cap, flow.weight, flow.uses, flow.buffer_bytes, flow.steady, flow.last,
               0.0 if flow.steady else sizes[flow.name]) for flow in flows),
        tuple((name, size) for name, size in capacities.items() if name in links),
        discipline if len({flow.last for flow in flows}) > 1 else "fair",  # nobody is served before all
    )
    return {flow.name: met for flow, met in zip(flows, found, strict=True) if not flow.steady}


@lru_cache(maxsize=MOST_REMEMBERED)
def _met(
    asked: tuple[tuple[float, float, tuple[Use, ...], float, bool, bool, float], ...],
    capacities: tuple[tuple[str, float], ...], discipline: Discipline,
) -> tuple[Met, ...]:
    """What became of each flow, by cap, weight, uses, buffer, whether it is steady and whether it comes last, and
    bytes. Whose flows they are does not matter, and plans ask the same many times."""
    flows = [Moving(str(number), *each[:-1]) for number, each in enumerate(asked)]
    sizes = {flow.name: each[-1] for flow, each in zip(flows, asked, strict=True)}
    waits = all(math.isinf(flow.buffer_bytes) for flow in flows)
    found = (_waiting if waits else _losing)(flows, dict(capacities), sizes, discipline)
    return tuple(found.get(flow.name, THROUGH) for flow in flows)


def _waiting(
    flows: Sequence[Moving], capacities: Mapping[str, float], sizes: Mapping[str, float], discipline: Discipline
) -> dict[str, Met]:
    """Bursts that all wait, so that no buffer needs to be followed: from the end of one to the end of the next."""
    found: dict[str, Met] = {}
    for members in joined(flows, capacities):
        here = {use.resource: capacities[use.resource] for flow in members for use in flow.uses}
        shares = Shares(members, here, discipline)
        left = {place: sizes[flow.name] for place, flow in enumerate(members) if sizes[flow.name] > 0.0}
        key = sum(1 << 2 * place for place, flow in enumerate(members) if flow.steady or place in left)
        now = 0.0
        while left:
            rates = shares.of(key).rates
            soonest, first = min((size / rates[place] if rates[place] > 0.0 else math.inf, place)
                                 for place, size in left.items())
            through = now + max(0.0, soonest)
            found[members[first].name] = Met(through, math.inf)
            if through == math.inf:
                found.update((members[place].name, NEVER) for place in left)
                break
            del left[first]
            key &= ~(1 << 2 * first)
            for place in left:
                left[place] -= rates[place] * (through - now)
            now = through
    return found


def _losing(
    flows: Sequence[Moving], capacities: Mapping[str, float], sizes: Mapping[str, float], discipline: Discipline
) -> dict[str, Met]:
    """The same with their buffers."""
    stage = Stage(flows, capacities, discipline)
    found: dict[str, Met] = {}

    def through(name: str, now: float, first_lost: float) -> None:
        found[name] = Met(now, max(0.0, first_lost))  # a full buffer may be full by a rounding too much

    stage.start_together([
        (flow.name, math.inf, None) if flow.steady else (flow.name, sizes[flow.name], partial(through, flow.name))
        for flow in flows if flow.steady or sizes[flow.name] > 0.0
    ])
    stage.drain()
    for flow in flows:
        if not flow.steady and flow.name not in found:
            found[flow.name] = _stuck(stage, flow.name)
    return found


def _stuck(stage: Stage, name: str) -> Met:
    """A frame that gets nothing any more: its buffer fills as fast as it is read out. One of no bytes is through."""
    channel = stage.channels[name]
    if not channel.running:
        return THROUGH
    room = (channel.flow.buffer_bytes - channel.backlog) / channel.flow.cap
    return Met(math.inf, max(0.0, min(channel.first_lost, stage.groups[name].now + room)))
