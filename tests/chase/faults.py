"""Synthetic faults, drawn from a model that is not the one tests are chosen by, and what is then seen of them.

Differences: the weight of each kind of suspect is off by up to 2.7 times, the rate by up to 2.5, looks are blurred by a
fifth towards even, touching heals 35 of 100 contacts for half an hour or two intervals on average (the chooser thinks
30 of 100, and for that test only), two faults come in 5 of 100 and have rates of their own, the trouble is not listed
in 13 of 100. 5 of 100 answers are wrong. A stress test brings the trouble on less often than the chooser thinks: with
the power 0.4 to 1 of its pace.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, field

from topo.chase import kinds
from topo.chase.belief import UNLISTED
from topo.model.chase import GOES, Dossier, LookChances, Shows

NOT_LISTED, TWO, HEALS, LIES, BLUR = 0.13, 0.05, 0.35, 0.05, 0.2
PRIORS_OFF, RATES_OFF = 2.7, 2.5
LEAST_STRESS = 0.4


@dataclass
class Fault:
    """What is really wrong: suspects by place with their rates (events a minute), and until when each is healed."""

    case: Dossier
    interval: float
    rng: random.Random
    places: tuple[int, ...] = ()
    rates: tuple[float, ...] = ()
    clock: float = 0.0
    stress: float = 1.0
    healed_until: dict[int, float] = field(default_factory=dict)
    silent_now: dict[int, bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        rng, suspects = self.rng, self.case.suspects
        listed = [i for i, s in enumerate(suspects) if s.kind != UNLISTED]
        if rng.random() < NOT_LISTED or not listed:
            self.places = tuple(i for i, s in enumerate(suspects) if s.kind == UNLISTED)
        else:
            off = {kind.name: _off(rng, PRIORS_OFF) for kind in kinds.KINDS}
            weights = [suspects[i].weight * off[suspects[i].kind] for i in listed]
            first = rng.choices(listed, weights)[0]
            rest = [i for i in listed if i != first]
            two = rest and rng.random() < TWO
            self.places = (first, rng.choices(rest, [suspects[i].weight for i in rest])[0]) if two else (first,)
        rate = _off(rng, RATES_OFF) / self.interval
        part = rng.uniform(0.3, 0.7)
        self.stress = rng.uniform(LEAST_STRESS, 1.0)
        self.rates = (rate,) if len(self.places) == 1 else (rate * part, rate * (1.0 - part))

    def look(self, number: int) -> str:
        """What a look shows, wrong answers included."""
        test, row = self.case.tests[number], self.case.table[number]
        told = row[self.rng.choice(self.places)]
        assert isinstance(told, LookChances)
        count = len(told.chances)
        weights = [(1.0 - BLUR) * chance + BLUR / count for chance in told.chances]
        return self._reported(self.rng.choices(test.outcomes, weights)[0], test.outcomes)

    def change(self, number: int, wait: float, standing: bool) -> str:
        """What a change shows within the wait; the clock goes on by what was watched."""
        row, test = self.case.table[number], self.case.tests[number]
        if not standing:
            self._touch(number)
        earliest, outcome = math.inf, GOES
        for place, rate in zip(self.places, self.rates, strict=True):
            shows = row[place]
            assert isinstance(shows, Shows)
            if shows.outcome == GOES or self.silent_now.get(place, False):
                continue
            quiet = max(0.0, self.healed_until.get(place, 0.0) - self.clock)
            at = quiet + self.rng.expovariate(rate * shows.pace**self.stress)
            if at < earliest:
                earliest, outcome = at, shows.outcome
        seen = outcome if earliest <= wait else GOES
        told = self._reported(seen, test.outcomes)
        watched = wait if told == GOES else min(earliest, wait) if told == seen else self.rng.uniform(0.0, wait)
        self.clock += watched
        return told

    def gone(self, number: int) -> bool:
        """True where the change really takes all of the trouble away."""
        row = self.case.table[number]
        return all(isinstance(s, Shows) and s.outcome == GOES for s in (row[place] for place in self.places))

    def _touch(self, number: int) -> None:
        row = self.case.table[number]
        for place in self.places:
            shows, kind = row[place], kinds.KIND_OF[self.case.suspects[place].kind]
            assert isinstance(shows, Shows)
            if kind.name == UNLISTED:
                self.silent_now[place] = self.rng.random() < shows.still
            elif shows.still and self.rng.random() < HEALS:
                lasts = self.rng.expovariate(1.0 / max(30.0, 2.0 * self.interval))
                self.healed_until[place] = self.clock + lasts

    def _reported(self, seen: str, outcomes: tuple[str, ...]) -> str:
        if self.rng.random() >= LIES:
            return seen
        return self.rng.choice([outcome for outcome in outcomes if outcome != seen])


def _off(rng: random.Random, times: float) -> float:
    return math.exp(rng.uniform(-math.log(times), math.log(times)))
