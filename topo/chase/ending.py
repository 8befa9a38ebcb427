"""When a chase ends, and with what: one name at 0.95, or the smallest set that nothing at hand can tell apart.

A set of at most three ends it at 0.95 as well, where telling them apart would cost far more than a clear test does.
"""

from __future__ import annotations

import math

from topo.chase.belief import Belief
from topo.frozen import frozen
from topo.model.chase import Dossier

SURE = 0.95
"""A name ends the chase from this chance on. At 0.90 six to eight names of 100 were wrong in the prototype."""
TOGETHER = 0.9
"""Chance that a set has the one, where no name can be had."""

MOST_LEFT = 3
"""So many groups may be left where telling them apart is too dear."""
DEAR, HANDS_MIN, MOST_MIN = 16.0, 10.0, 3000.0
"""A bit is too dear when it costs so many times as much as a clear test would: hands-on minutes, and the wait that
trouble which is there keeps silent through 5 times in 100; and when it costs that many minutes, six nights
(judgement)."""
MUCH_TOO_DEAR = 3.0
"""Much too dear is so many times too dear."""

Alike = tuple[int, ...]
"""Suspects that every test treats alike: their bar, end and fix are one."""


@frozen
class Ending:
    """How it ended: the groups named (one: a name; more: a set), the likeliest first, and their chance together."""

    groups: tuple[Alike, ...]
    chance: float

    @property
    def named(self) -> bool:
        """True where one group is left."""
        return len(self.groups) == 1 and self.chance >= SURE


def groups(case: Dossier) -> tuple[Alike, ...]:
    """The suspects in groups that every test treats exactly alike, in the order of the case."""
    found: dict[tuple[object, ...], list[int]] = {}
    for place, _ in enumerate(case.suspects):
        found.setdefault(tuple(row[place] for row in case.table), []).append(place)
    return tuple(map(tuple, found.values()))


def guilt_of(belief: Belief, group: Alike) -> float:
    """The chance that one of the group is at fault, alone or as one of two."""
    members = frozenset(group)
    return math.fsum(
        chance for faults, chance in zip(belief.sets, belief.chances, strict=True) if not members.isdisjoint(faults)
    )


def ranked(belief: Belief) -> list[tuple[Alike, float]]:
    """Groups with their chances, the likeliest first; equal ones in the order of the case."""
    pairs = [(group, guilt_of(belief, group)) for group in groups(belief.case)]
    return sorted(pairs, key=lambda pair: -pair[1])


def settled(belief: Belief, bits_per_minute: float) -> Ending | None:
    """The smallest set to end with where what still tells most, so much a minute, is too dear; None else.

    It has the one at 0.95; at 0.9 too, where going on is much too dear.
    """
    limit = min(MOST_MIN, DEAR * (HANDS_MIN + belief.rhythm.wait()))
    for share, times in ((SURE, 1.0), (TOGETHER, MUCH_TOO_DEAR)):
        if bits_per_minute * times * limit >= 1.0:
            return None
        order = [group for group, _ in ranked(belief)]
        for count in range(1, min(MOST_LEFT, len(order)) + 1):
            together = guilt_of(belief, tuple(i for group in order[:count] for i in group))
            if together >= share:
                return Ending(tuple(order[:count]), together)
    return None


def ending(belief: Belief, exhausted: bool) -> Ending | None:
    """The end, or None while it goes on. `exhausted` says that no test at hand is worth doing any more."""
    order = ranked(belief)
    if order[0][1] >= SURE:
        return Ending((order[0][0],), order[0][1])
    if not exhausted:
        return None
    taken: list[Alike] = []
    for group, _ in order:
        taken.append(group)
        together = guilt_of(belief, tuple(i for g in taken for i in g))
        if together >= TOGETHER:
            return Ending(tuple(taken), together)
    return Ending(tuple(taken), 1.0)
