"""One night from its plan: puts the actors on the stage, lets the hours pass, and gathers what came of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from random import Random
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.night import Discipline, Guiding, Night, NightPlan, StreamNight
from topo.night.actors import Copy, Guide, Shoot
from topo.night.stage import Stage

if TYPE_CHECKING:
    from topo.night.channels import Channel, Moving


@frozen
class Cast:
    """What a plan needs of the links at one level of throughput.

    `sizes` bytes of a frame, `alone_s` seconds of its transfer with nothing else on its links, `fixed_s` what each
    frame takes besides; by flow. `capacities` seconds per second of each link, reservations taken off.
    """

    level: str
    flows: tuple[Moving, ...]
    capacities: Mapping[str, float]
    sizes: Mapping[str, float]
    alone_s: Mapping[str, float]
    fixed_s: Mapping[str, float]


@frozen
class Draw:
    """One draw of what is uncertain besides throughput: the seed of all phases, and where in each range to stand.

    `overhead` and `noise` name the end of the ranges of `Guiding`: low, likely or high.
    """

    seed: int
    overhead: str = "likely"
    noise: str = "likely"


def run_night(plan: NightPlan, cast: Cast, discipline: Discipline, draw: Draw, trace: bool = False) -> Night:
    """A night of a plan. Same plan, cast, discipline and draw, same night.

    `trace` keeps the load of each link; every guide frame is then followed, and it is another draw of the same night.
    """
    stage = Stage(cast.flows, cast.capacities, discipline)
    if trace:
        for group in stage.every_group():
            group.traced = []
    copied = {each.flow for each in plan.copying}
    copies = [Copy(stage, each) for each in plan.copying]
    for copy in copies:
        copy.channel.ahead = _dice(draw, copy.plan.flow).random() * copy.plan.every_s
        stage.call(copy.channel.ahead, copy.begin)
    for flow in cast.flows:
        if flow.steady and flow.name not in copied:
            stage.switch(flow.name, True)
    guides = {each.camera: _guide(stage, each, cast, draw) for each in plan.guiding}
    for guide in guides.values():
        guide.jumps = not trace
    shoots = []
    for each in plan.shooting:
        shoot = Shoot(stage, each, cast.sizes[each.camera], cast.fixed_s[each.camera], guides.get(each.guided_by or ""))
        start = _dice(draw, each.camera).random() * (each.exposure_s + each.gap_s)
        shoot.channel.ahead = start + each.exposure_s
        stage.call(start, shoot.open)
        shoots.append(shoot)
    stage.run(plan.seconds)
    happened = [*(h for shoot in shoots for h in shoot.happenings), *(h for copy in copies for h in copy.happenings)]
    happened.sort(key=lambda h: (h.at_s, h.kind, h.part))
    return Night(
        plan.seconds, discipline, cast.level,
        tuple(guide.night(plan.seconds) for guide in guides.values()),
        tuple(shoot.night() for shoot in shoots),
        tuple(_stream(stage.channels[flow.name], cast) for flow in cast.flows if flow.steady),
        tuple(happened),
        _loads(stage) if trace else (),
    )


def pulses(guiding: Guiding, noise: str) -> tuple[float, float]:
    """Mean and scatter of the seconds of a correction pulse, from star noise alone.

    What the loop measures of a still mount is noise of sd s = noise x sqrt(2/(2-g)); a pulse takes g|y|/rate.
    """
    gain = guiding.gain.likely
    seen = getattr(guiding.noise_arcsec, noise) * math.sqrt(2.0 / (2.0 - gain))
    scale = gain * seen / guiding.mount.pulse_arcsec_per_s
    return scale * math.sqrt(2.0 / math.pi), scale * math.sqrt(1.0 - 2.0 / math.pi)


def _dice(draw: Draw, name: str) -> Random:
    return Random(f"{draw.seed}/{name}")


def _guide(stage: Stage, plan: Guiding, cast: Cast, draw: Draw) -> Guide:
    name = plan.camera
    dice = _dice(draw, name)
    after = cast.fixed_s[name] + getattr(plan.overhead_s, draw.overhead)
    guide = Guide(stage, name, cast.sizes[name], plan.exposure_s, cast.alone_s[name], after,
                  pulses(plan, draw.noise), plan.wait_s, dice)
    start = dice.random() * (plan.exposure_s + cast.alone_s[name] + after)
    guide.channel.ahead = start + plan.exposure_s
    stage.call(start, guide.begin)
    return guide


def _stream(channel: Channel, cast: Cast) -> StreamNight:
    size = cast.sizes.get(channel.flow.name, 0.0)
    return StreamNight(
        channel.flow.name, channel.sent, channel.slowest, channel.short_s,
        channel.lost / size if size else 0.0, channel.first_lost,
    )


def _loads(stage: Stage) -> tuple[tuple[float, tuple[tuple[str, float], ...]], ...]:
    """When the load of links changed and to what, in the order of time. A link of several groups carries them all."""
    groups = list(stage.every_group())
    events = [(at, number, key) for number, group in enumerate(groups) for at, key in group.traced or ()]
    events.sort(key=lambda event: event[:2])
    now: dict[str, dict[int, float]] = {}
    found = []
    for at, number, key in events:
        told = []
        for link, load in groups[number].shares.of(key).loads.items():
            here = now.setdefault(link, {})
            here[number] = load
            told.append((link, load if len(here) == 1 else math.fsum(here.values())))
        found.append((at, tuple(told)))
    return tuple(found)
