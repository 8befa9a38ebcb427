"""Fault sets sorted by what they show, test by test: worked out once for a case, so that scoring is sums of lists.

Within a class all sets show the same thing under a test and differ only in their rates.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from topo.chase.likely import Faults, blurred, stilled
from topo.frozen import frozen
from topo.model.chase import GOES, STAYS, Dossier, LookChances, OutcomeWord, Prediction, Shows, Test


@frozen
class Silent:
    """A way of keeping silent: `stilled` by the touch, or `active` with (chance, rate as a part of the whole)."""

    stilled: float
    active: tuple[tuple[float, float], ...]


@frozen
class Class:
    """Fault sets (their places) that show `shows` and keep silent in the same way; None where there is nothing to show.

    `shows` has two outcomes where one of two faults stays and the other moves; `staying` is then how the first of
    them alone keeps silent.
    """

    how: Silent | None
    shows: tuple[OutcomeWord, ...]
    places: tuple[int, ...]
    staying: Silent | None = None


@frozen
class Classes:
    """For each test its classes (empty for looks); for each look the chances of its outcomes and their entropy."""

    changes: tuple[tuple[Class, ...], ...]
    looks: tuple[tuple[tuple[float, ...], ...], ...]
    look_entropy: tuple[tuple[float, ...], ...]


def classes_of(case: Dossier, sets: Sequence[Faults]) -> Classes:
    """The classes of every test."""
    changes, looks = [], []
    for test, row in zip(case.tests, case.table, strict=True):
        changes.append(() if test.is_look else _classes(row, sets))
        looks.append(tuple(_told(test, [row[m] for m in members]) for members in sets) if test.is_look else ())
    spread = tuple(tuple(-math.fsum(p * math.log2(p) for p in told if p > 0.0) for told in look) for look in looks)
    return Classes(tuple(changes), tuple(looks), spread)


def _classes(row: Sequence[Prediction], sets: Sequence[Faults]) -> tuple[Class, ...]:
    found: dict[tuple[Silent | None, tuple[OutcomeWord, ...], Silent | None], list[int]] = {}
    for place, members in enumerate(sets):
        shows = [s for s in (row[m] for m in members) if isinstance(s, Shows) and s.outcome != GOES]
        outcomes = tuple(dict.fromkeys(sorted(s.outcome for s in shows)))
        staying = [s for s in shows if s.outcome == STAYS] if len(outcomes) == 2 else []
        key = (_silent(shows, len(members)), outcomes, _silent(staying, len(members)))
        found.setdefault(key, []).append(place)
    return tuple(Class(how, shows, tuple(places), staying) for (how, shows, staying), places in found.items())


def _silent(shows: Sequence[Shows], members: int) -> Silent | None:
    if not shows:
        return None
    at_rest, active = 0.0, []
    for still_active, chance in stilled(shows):
        rate = math.fsum(member.pace for member in still_active) / members
        if rate > 0.0:
            active.append((chance, rate))
        else:
            at_rest += chance
    return Silent(at_rest, tuple(active))


def _told(test: Test, members: Sequence[Prediction]) -> tuple[float, ...]:
    """The chances of a look's outcomes, wrong answers counted; two faults lead it as often one as the other."""
    tolds = [member for member in members if isinstance(member, LookChances)]
    count = len(test.outcomes)
    means = (math.fsum(told.chances[o] for told in tolds) / len(tolds) for o in range(count))
    return tuple(blurred(chance, count) for chance in means)
