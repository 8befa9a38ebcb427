"""How long a command waits for its turn on a line that is polled, over random phases of the polls.

One poller of period T and exchange H: a command at a random instant waits with chance H/T, by H^2/2T on average.
Several pollers of equal periods lock their phases, so that a night has its own figures, and no formula for random
arrivals holds: their schedules are played through. Each poller has one question outstanding. At a load of 1 and above
the line never catches up, and every figure is inf.
"""

from __future__ import annotations

import heapq
import math
from bisect import bisect_right
from functools import lru_cache
from random import Random

from topo.model.line import LineWaits

NEVER_CAUGHT_UP = LineWaits(1.0, math.inf, math.inf, math.inf)

PHASES = 40
"""Draws of the pollers' phases."""

PERIODS = 40
"""Periods of the slowest poller that each draw is played for, at the most; fewer where others are much faster."""

MOST_EXCHANGES = 1500
"""Exchanges played in one draw, at the most."""

SAMPLES = 150
"""Pulses dropped on each draw's schedule."""

Pollers = tuple[tuple[float, float], ...]
"""(period, exchange) of each poller, seconds."""

Schedule = tuple[list[float], list[float]]
"""When questions come, and when the line is free again of all that came until then."""


@lru_cache(maxsize=256)
def waits(pollers: Pollers, pulse_s: float = 0.3) -> LineWaits:
    """What a command meets on a line with these pollers. `pulse_s` lies between the two commands of a pulse that the
    computer times."""
    if math.fsum(holds / period for period, holds in pollers) >= 1.0:
        return NEVER_CAUGHT_UP
    if not pollers:
        return LineWaits(0.0, 0.0, 0.0, 0.0)
    found: list[float] = []
    differences: list[float] = []
    means: list[float] = []
    for number in range(PHASES if len(pollers) > 1 else 4):
        dice = Random(f"{number}/serial")
        schedule = _schedule(pollers, dice)
        here, apart = _sampled(schedule, pulse_s, dice)
        found += here
        differences += apart
        means.append(_mean(*schedule))
    if len(pollers) == 1:
        period, holds = pollers[0]
        return LineWaits(holds / period, holds * holds / (2.0 * period), holds, _deviation(differences))
    return LineWaits(
        sum(each > 0.0 for each in found) / len(found), math.fsum(means) / len(means),
        math.fsum(holds for _, holds in pollers), _deviation(differences),
    )


def _deviation(values: list[float]) -> float:
    return math.sqrt(math.fsum(value * value for value in values) / len(values))


def _schedule(pollers: Pollers, dice: Random) -> Schedule:
    """When questions come to the line, and when the line is free again of all that came until then."""
    slowest = max(period for period, _ in pollers)
    each_s = math.fsum(1.0 / period for period, _ in pollers)
    lasts = min(PERIODS * slowest, max(2.0 * slowest, MOST_EXCHANGES / each_s))
    due = [(dice.random() * period, number) for number, (period, _) in enumerate(pollers)]
    heapq.heapify(due)
    came, done, free = [], [], 0.0
    while due[0][0] < lasts + slowest:
        at, number = heapq.heappop(due)
        period, holds = pollers[number]
        free = max(at, free) + holds
        came.append(at)
        done.append(free)
        heapq.heappush(due, (max(at + period, free), number))
    return came, done


def _mean(came: list[float], done: list[float]) -> float:
    """The mean wait of a command at any instant: how long the line is still busy, over all the time played."""
    area = 0.0
    for index, begins in enumerate(came[:-1]):
        left, gap = done[index] - begins, came[index + 1] - begins
        area += left * left / 2.0 if left < gap else gap * (left - gap / 2.0)
    return area / (came[-1] - came[0]) if came[-1] > came[0] else 0.0


def _sampled(schedule: Schedule, pulse_s: float, dice: Random) -> tuple[list[float], list[float]]:
    """LineWaits at instants spread evenly with a random start each, and the differences to the wait one pulse later."""
    came, done = schedule
    begins, ends = came[min(len(came) - 1, 8)], max(came[-1] - pulse_s, came[min(len(came) - 1, 8)])
    step = (ends - begins) / SAMPLES
    found, apart = [], []
    for number in range(SAMPLES):
        at = begins + (number + dice.random()) * step
        one, other = _wait(came, done, at), _wait(came, done, at + pulse_s)
        found.append(one)
        apart.append(other - one)
    return found, apart


def _wait(came: list[float], done: list[float], at: float) -> float:
    index = bisect_right(came, at) - 1
    return max(0.0, done[index] - at) if index >= 0 else 0.0
