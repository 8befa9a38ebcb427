"""What is believed after everything that was seen: a weight for each set of faults and each rate. Bayes, nothing else.

Sets of faults: each suspect alone, and pairs of the likeliest. State is facts only: a belief is computed from the case,
the rhythm and the answers, and the same answers always give the same belief.
"""

from __future__ import annotations

import itertools
import math
import operator
from collections.abc import Iterable, Sequence
from functools import cached_property

from topo.chase.classes import Classes, classes_of
from topo.chase.likely import Faults, Glance, episode
from topo.chase.rhythm import Rhythm
from topo.frozen import frozen, replace
from topo.model.chase import Dossier, Reply

PAIRS = 0.06
"""Chance that two independent things are at fault at once (judgement, cautious)."""
PAIRED = 8
"""Pairs are made of so many of the likeliest suspects."""
UNLISTED = "other"
"""The kind of the suspect that stands for all that is not listed; it takes part in no pair."""


@frozen(slots=False)
class Belief:
    """What is believed. `settled[h][r]` is the weight of fault set h at rate r before the test that stands.

    `standing` is the place of that test in the case, `parts` what was seen while it stood.
    """

    case: Dossier
    rhythm: Rhythm
    sets: tuple[Faults, ...]
    classes: Classes
    settled: tuple[tuple[float, ...], ...]
    standing: int | None = None
    parts: tuple[Glance, ...] = ()

    @cached_property
    def weights(self) -> tuple[tuple[float, ...], ...]:
        """Weights after everything seen, summing to 1 over all fault sets and rates."""
        return _scaled(self._rows) if self._rows is not self.settled else self.settled

    @cached_property
    def chances(self) -> tuple[float, ...]:
        """The chance of each fault set."""
        return tuple(math.fsum(row) for row in self.weights)

    @cached_property
    def given(self) -> tuple[tuple[float, ...], ...]:
        """For each fault set the chances of the rates, given that it is the one."""
        return tuple(
            tuple(value / chance for value in row) if chance > 0.0 else self.rhythm.weights
            for row, chance in zip(self.weights, self.chances, strict=True)
        )

    @cached_property
    def guilt(self) -> tuple[float, ...]:
        """The chance that each suspect is at fault, alone or as one of two. In the order of the case."""
        totals: list[list[float]] = [[] for _ in self.case.suspects]
        for members, chance in zip(self.sets, self.chances, strict=True):
            for member in members:
                totals[member].append(chance)
        return tuple(math.fsum(parts) for parts in totals)

    def after(self, answer: Reply) -> Belief:
        """The belief with one more answer. Raises KeyError for a test, ValueError for an outcome, that is not there.

        An answer about the test that stands carries it on: nothing was touched anew.
        """
        number = self.case.number(answer.test)
        test = self.case.tests[number]
        part = Glance(test.outcomes[test.outcomes.index(answer.outcome)], answer.minutes)
        if number == self.standing and not test.is_look:
            return replace(self, parts=(*self.parts, part))
        return replace(self, settled=self.weights, standing=number, parts=(part,))

    def next_chances(self, number: int, part: Glance) -> tuple[float, ...]:
        """The chance of one more answer to the test that stands, for each fault set."""
        rows = self._after(number, (*self.parts, part))
        return tuple(
            math.fsum(new) / before if (before := math.fsum(old)) > 0.0 else 0.0
            for new, old in zip(rows, self._rows, strict=True)
        )

    @cached_property
    def _rows(self) -> Sequence[Sequence[float]]:
        return self.settled if self.standing is None else self._after(self.standing, self.parts)

    def _after(self, number: int, parts: Sequence[Glance]) -> list[list[float]]:
        likely = self._likely(number, parts)
        return [list(map(operator.mul, row, like)) for row, like in zip(self.settled, likely, strict=True)]

    def _likely(self, number: int, parts: Sequence[Glance]) -> list[list[float]]:
        """The likelihood of what was seen while a test stood, for each fault set and rate; one for each class."""
        test, row, rates = self.case.tests[number], self.case.table[number], self.rhythm.rates
        if test.is_look:
            return [[told[test.outcomes.index(parts[0].outcome)]] * len(rates) for told in self.classes.looks[number]]
        found: list[list[float]] = [[]] * len(self.sets)
        for each in self.classes.changes[number]:
            likely = episode(test, [row[m] for m in self.sets[each.places[0]]], parts, rates)
            for place in each.places:
                found[place] = likely
        return found


def start(case: Dossier, rhythm: Rhythm) -> Belief:
    """The belief before anything was tried: each suspect by its weight, pairs of the likeliest together `PAIRS`."""
    total = math.fsum(suspect.weight for suspect in case.suspects)
    alone = [suspect.weight / total for suspect in case.suspects]
    listed = [i for i, suspect in enumerate(case.suspects) if suspect.kind != UNLISTED]
    likeliest = sorted(sorted(listed, key=lambda i: -alone[i])[:PAIRED])
    pairs = list(itertools.combinations(likeliest, 2))
    both = [alone[a] * alone[b] for a, b in pairs]
    share = PAIRS if pairs else 0.0
    together = math.fsum(both)
    chances = [p * (1.0 - share) for p in alone] + [share * p / together for p in both]
    sets: tuple[Faults, ...] = (*((i,) for i in range(len(alone))), *pairs)
    rows = tuple(tuple(chance * w for w in rhythm.weights) for chance in chances)
    return Belief(case, rhythm, sets, classes_of(case, sets), rows)


def believe(case: Dossier, rhythm: Rhythm, answers: Iterable[Reply]) -> Belief:
    """The belief after all answers, in their order (which matters only where one test was carried on)."""
    belief = start(case, rhythm)
    for answer in answers:
        belief = belief.after(answer)
    return belief


def _scaled(rows: Sequence[Sequence[float]]) -> tuple[tuple[float, ...], ...]:
    total = math.fsum(map(math.fsum, rows))
    return tuple(tuple(value / total for value in row) for row in rows)
