"""How likely an outcome is, given who is at fault and how often the trouble comes. Exact: nothing is sampled.

Given a rate, all tests are independent; so what is hidden (a contact healed by touch, silence by chance, a wrong
answer) is summed over in closed form. `tests/chase` holds this against enumeration of every hidden case.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from topo.frozen import frozen
from topo.model.chase import GOES, MOVES, STAYS, OutcomeWord, Prediction, Shows, Test

WRONG = 0.05
"""Chance that an answer is wrong (judgement, cautious; 0.01 made too many wrong names in the prototype)."""
HEALED = 0.3
"""Chance that a contact which was touched keeps silent for the whole test (judgement, cautious)."""


Faults = tuple[int, ...]
"""Places of suspects in the case: one, or two at once."""


@frozen
class Glance:
    """One answer of an episode: what was seen and how long it was watched, minutes."""

    outcome: OutcomeWord
    minutes: float


def blurred(chance: float, outcomes: int) -> float:
    """The chance with wrong answers: a wrong one is any of the others, all alike."""
    return chance * (1.0 - WRONG) + (1.0 - chance) * WRONG / (outcomes - 1)


def episode(test: Test, members: Sequence[Prediction], parts: Sequence[Glance], rates: Sequence[float]) -> list[float]:
    """The likelihood of everything seen while one change stood, for one set of faults and each rate (per minute).

    With two faults: stays if either stays, else moves if either moves; gone only where both keep silent.
    A contact that healed by the touch keeps silent for the whole episode, however many answers it has. The rate is
    that of the trouble as a whole: two faults give half of it each.
    """
    shows = [member for member in members if isinstance(member, Shows) and member.outcome != GOES]
    total = [0.0] * len(rates)
    for active, weight in stilled(shows):
        row = _given(test, active, parts, [rate / len(members) for rate in rates])
        total = [sum_ + weight * value for sum_, value in zip(total, row, strict=True)]
    return total


def stilled(shows: Sequence[Shows]) -> list[tuple[tuple[Shows, ...], float]]:
    """Which of the faults the touch left active, and how likely that is: every combination."""
    found: list[tuple[tuple[Shows, ...], float]] = [((), 1.0)]
    for member in shows:
        found = [
            branch
            for active, weight in found
            for branch in (((*active, member), weight * (1.0 - member.still)), (active, weight * member.still))
            if branch[1] > 0.0
        ]
    return found


def _given(test: Test, active: Sequence[Shows], parts: Sequence[Glance], rates: Sequence[float]) -> list[float]:
    """The likelihood for each rate, given which faults are active."""
    never = WRONG / (len(test.outcomes) - 1)
    truly = 1.0 - WRONG - never
    row = [1.0] * len(rates)
    for part in parts:
        stay, move = (
            math.fsum(m.pace for m in active if m.outcome == outcome) * part.minutes for outcome in (STAYS, MOVES)
        )
        if part.outcome == STAYS:
            chances = [1.0 - math.exp(-rate * stay) for rate in rates]
        elif part.outcome == GOES:
            chances = [math.exp(-rate * (stay + move)) for rate in rates]
        else:
            chances = [math.exp(-rate * stay) * (1.0 - math.exp(-rate * move)) for rate in rates]
        row = [value * (never + truly * chance) for value, chance in zip(row, chances, strict=True)]
    return row
