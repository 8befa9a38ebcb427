"""The night against a model of USB 2 by transactions (simpy), frame by frame: lateness and lost frames.

Within 0.5 % or 0.25 ms on mean, median, 95 of 100 and worst. A bus of 41.5 MB/s in packets of 512 bytes; both ways of
sharing. `PYTHONPATH=. python tests/night/test_transactions.py` runs three minutes of each case; the test runs slices of
twelve seconds.
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass, replace
from random import Random

import pytest
import simpy

from tests.night import transactions as usb
from topo.model.facts import Range3
from topo.model.night import Copying, Discipline, Guiding, Mount, NightPlan, Shooting
from topo.model.traffic import Use
from topo.night.channels import Moving
from topo.night.run import Cast, Draw, run_night

BUS = 41.5e6
MOUNT = Mount("mount", Range3.of(0.0), Range3.of(431.0))
NONE = Range3.of(0.0)


@dataclass(frozen=True)
class Case:
    """What runs on one bus: bytes of pictures with their exposures and readouts, a stream, a copy, pollers."""

    guide_buffer: float = math.inf
    pictures: tuple[tuple[float, float, float], ...] = ()
    stream: float = 0.0
    copy: tuple[float, float, float] | None = None
    pollers: int = 0
    own_translators: bool = False
    seconds: float = 12.0


GUIDE, GUIDE_RATE, GUIDE_S, AFTER = 0.6144e6, 37e6, 0.35, 0.05
PAUSE = 0.5
CASES = {
    "two cameras": Case(pictures=((7e6, 350e6, 2.3),)),
    "two cameras, small buffer": Case(guide_buffer=16e3, pictures=((7e6, 350e6, 2.3),)),
    "three cameras": Case(pictures=((6e6, 350e6, 2.7), (4.2e6, 37e6, 3.1))),
    "a stream and exposures": Case(pictures=((6e6, 350e6, 2.3),), stream=4.9e6),
    "a copy that comes and goes": Case(pictures=((4e6, 350e6, 3.1),), copy=(30e6, 1.0, 5.0)),
    "pollers behind one translator": Case(pictures=((6e6, 350e6, 2.3),), pollers=6),
    "pollers behind one each": Case(pictures=((6e6, 350e6, 2.3),), pollers=6, own_translators=True),
}
POLLS_PER_S, POLL_BYTES, SLOW = 4.0, 40, 1.0e6


def plan_of(case: Case) -> tuple[NightPlan, Cast]:
    bus = (Use("bus", 1 / BUS),)
    flows = [Moving("guide", GUIDE_RATE, 512, bus, case.guide_buffer, last=True)]
    shooting, sizes = [], {"guide": GUIDE}
    for number, (size, rate, exposure) in enumerate(case.pictures):
        name = f"camera-{number}"
        flows.append(Moving(name, rate, 512, bus))
        sizes[name] = size
        shooting.append(Shooting(name, exposure, PAUSE))
    if case.stream:
        flows.append(Moving("stream", case.stream, 512, bus, steady=True))
    if case.copy:
        flows.append(Moving("copy", case.copy[0], 512, bus, steady=True))
    for number in range(case.pollers):
        slow = f"translator-{number if case.own_translators else 0}"
        uses = (Use(slow, (POLL_BYTES + 13) / POLL_BYTES / SLOW), Use("bus", (2 * 55 + 64) / 40 / 60e6))
        flows.append(Moving(f"poller-{number}", POLLS_PER_S * POLL_BYTES, 64, uses, steady=True))
    guiding = Guiding("guide", GUIDE_S, MOUNT, Range3.of(AFTER), Range3.of(0.7), NONE, Range3.of(10.0))
    copies = (Copying("copy", case.copy[1], case.copy[2]),) if case.copy else ()
    capacities = {"bus": 1.0, **{f"translator-{n}": 1.0 for n in range(case.pollers)}}
    cast = Cast("likely", tuple(flows), capacities, sizes, {"guide": GUIDE / GUIDE_RATE},
                dict.fromkeys(sizes, 0.0))
    return NightPlan(case.seconds, tuple(shooting), (guiding,), copies), cast


def start_of(name: str, seed: int, cycle: float) -> float:
    return Random(f"{seed}/{name}").random() * cycle


def by_transactions(case: Case, discipline: Discipline, seed: int) -> list[usb.Late]:
    env = simpy.Environment()
    bus = usb.Bus(env, BUS, discipline == "fair")
    guide = usb.Source("guide", GUIDE_RATE, case.guide_buffer, last=True)
    bus.sources.append(guide)
    frames: list[usb.Late] = []
    alone = GUIDE / GUIDE_RATE
    start = start_of("guide", seed, GUIDE_S + alone + AFTER)
    env.process(usb.guide_loop(bus, guide, GUIDE, GUIDE_S, alone, AFTER, start, frames))
    for number, (size, rate, exposure) in enumerate(case.pictures):
        source = usb.Source(f"camera-{number}", rate)
        bus.sources.append(source)
        env.process(usb.shooting(bus, source, size, exposure, PAUSE, start_of(source.name, seed, exposure + PAUSE)))
    if case.stream:
        stream = usb.Source("stream", case.stream, steady=True)
        bus.sources.append(stream)
        stream.start(0.0, math.inf, None)
    if case.copy:
        rate, on, every = case.copy
        copy = usb.Source("copy", rate, steady=True)
        bus.sources.append(copy)
        env.process(usb.copying(bus, copy, on, every, start_of("copy", seed, every)))
    shared = simpy.Resource(env)
    for _ in range(case.pollers):
        translator = simpy.Resource(env) if case.own_translators else shared
        env.process(usb.polling(bus, translator, POLL_BYTES, POLLS_PER_S, SLOW, (55 + 32) / 60e6))
    for place, source in enumerate(bus.sources):
        source.place = place
    bus.open()
    env.run(until=case.seconds)
    return frames


def by_night(case: Case, discipline: Discipline, seed: int) -> list[usb.Late]:
    plan, cast = plan_of(case)
    night = run_night(plan, cast, discipline, Draw(seed)).guiding[0]
    found = [usb.Late(each.at_s - AFTER, each.by_s, each.lost) for each in night.late if each.frames == 1]
    assert all(each.frames == 1 or each.by_s < 1e-3 or abs(each.by_s - night.late[0].by_s) < 1e-9
               for each in night.late)
    for each in night.late:
        if each.frames > 1:  # a stretch in which every frame is late by the same
            step = GUIDE_S + AFTER + GUIDE / GUIDE_RATE + each.by_s
            found += [usb.Late(each.at_s - AFTER + k * step, each.by_s, each.lost) for k in range(each.frames)]
    return sorted(found, key=lambda late: late.due)


def figures(late: list[usb.Late], least: float) -> tuple[float, float, float, float]:
    """Mean, median, 95 of 100 and worst of the lateness of frames late by `least` or more."""
    values = sorted(each.by for each in late if each.by >= least)
    if not values:
        return (0.0, 0.0, 0.0, 0.0)
    at = [values[min(len(values) - 1, int(share * len(values)))] for share in (0.5, 0.95)]
    return (math.fsum(values) / len(values), at[0], at[1], values[-1])


def compare(case: Case, discipline: Discipline, seed: int) -> tuple[list[usb.Late], list[usb.Late]]:
    slow, quick = by_transactions(case, discipline, seed), by_night(case, discipline, seed)
    until = case.seconds - 2.0
    return [e for e in slow if e.due < until], [e for e in quick if e.due < until]


@pytest.mark.parametrize("discipline", ["fair", "last"])
@pytest.mark.parametrize("name", CASES)
def test_like_the_bus_by_transactions(name: str, discipline: Discipline) -> None:
    slow, quick = compare(CASES[name], discipline, 3)
    least = 2e-3
    for one, other in zip(figures(slow, least), figures(quick, least), strict=True):
        assert other == pytest.approx(one, rel=5e-3, abs=0.25e-3)
    assert sum(each.by >= least for each in slow) == sum(each.by >= least for each in quick)
    assert sum(each.lost for each in slow) == sum(each.lost for each in quick)
    assert any(each.lost or each.by >= least for each in slow)


if __name__ == "__main__":
    failed = 0
    for name, case in CASES.items():
        for discipline in ("fair", "last"):
            for seed in range(3):
                slow, quick = compare(replace(case, seconds=180.0), discipline, seed)  # type: ignore[arg-type]
                one, other = figures(slow, 2e-3), figures(quick, 2e-3)
                apart = max(abs(a - b) / max(5e-3 * abs(a), 0.25e-3) for a, b in zip(one, other, strict=True))
                lost = [sum(each.lost for each in late) for late in (slow, quick)]
                failed += apart > 1 or lost[0] != lost[1]
                print(f"{name}, {discipline}, seed {seed}: {len(slow)} frames, lost {lost}, worst {one[3]:.4f} s, "
                      f"apart {apart:.2f} of what is allowed", flush=True)
    sys.exit(failed > 0)
