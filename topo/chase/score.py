"""What each test would tell for each minute: expected fall of entropy over hands-on time and expected watching.

I = H(outcome) − Σ p H(outcome | faults), the same number as the expected fall of the entropy of the belief. One step
ahead only; `choose.py` looks further where that pays. All sums over a test go by classes of fault sets that differ
only in their rates (`classes.py`), since this is asked of every test with every wait.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Sequence
from dataclasses import dataclass

from topo.chase.belief import Belief
from topo.chase.classes import Class, Silent
from topo.chase.likely import Glance, blurred
from topo.model.chase import GOES, Outcome, Test

READING_MIN = 1.0
"""Reading the advice and noting the answer, minutes (judgement)."""
MOST_WATCHED = 9.0
"""Mean intervals that one change is watched at most, all its waits together."""


@dataclass(frozen=True, slots=True)
class Option:
    """A test (its place in the case) with a wait (minutes; 0 for a look), what it tells in bits, and what it costs.

    `shares` is the chance of each outcome of the test. `cost` is in minutes.
    """

    number: int
    wait: float
    bits: float
    cost: float
    shares: tuple[float, ...]

    @property
    def per_minute(self) -> float:
        """Bits per minute."""
        return self.bits / self.cost


def options(belief: Belief, watched: Sequence[float], looked: frozenset[str]) -> list[Option]:
    """Every test that may be done now with every wait worth trying, in the order of the case.

    `watched[test]` is how long each change was watched already, minutes; `looked` are families of looks that are done.
    """
    silences = Silences(belief)
    found = []
    for number, test in enumerate(belief.case.tests):
        if test.is_look:
            if test.family not in looked:
                found.append(option_of(belief, number, 0.0, silences))
            continue
        for wait in belief.rhythm.waits:
            if not full(belief, number, watched[number], wait):
                found.append(option_of(belief, number, wait / test.pace, silences))
    return found


def full(belief: Belief, number: int, watched: float, wait: float) -> bool:
    """True where a change was watched long enough, whatever it showed: one that was never watched is not."""
    pace = belief.case.tests[number].pace
    return watched > 0.0 and watched + wait / pace > MOST_WATCHED * belief.rhythm.interval / pace * (1.0 + 1e-9)


def option_of(belief: Belief, number: int, minutes: float, silences: Silences) -> Option:
    """One test with one wait."""
    test = belief.case.tests[number]
    if test.is_look:
        return _look(belief, number, test)
    if number == belief.standing:
        return _going_on(belief, number, test, minutes)
    return _change(belief, number, test, minutes, silences)


def entropy(chances: Sequence[float]) -> float:
    """Entropy in bits of chances that sum to 1."""
    return -math.fsum(p * math.log2(p) for p in chances if p > 0.0)


def _look(belief: Belief, number: int, test: Test) -> Option:
    chances = belief.chances
    table = [[row[place] for row in belief.classes.looks[number]] for place in range(len(test.outcomes))]
    shares = tuple(math.fsum(map(operator.mul, chances, row)) for row in table)
    within = math.fsum(map(operator.mul, chances, belief.classes.look_entropy[number]))
    return Option(number, 0.0, max(0.0, entropy(shares) - within), test.hands_min + READING_MIN, shares)


class Silences:
    """For each way of keeping silent and each wait: over all fault sets, weight × chance, × entropy, × minutes."""

    def __init__(self, belief: Belief) -> None:
        self._belief = belief
        self._means: dict[float, tuple[list[float], list[float]]] = {}
        self._known: dict[tuple[Silent, float, int], tuple[list[float], list[float], list[float]]] = {}

    def of(self, how: Silent, minutes: float, outcomes: int) -> tuple[list[float], list[float], list[float]]:
        """Per fault set: chance of silence, entropy of the answer, minutes watched; each times its weight."""
        key = (how, minutes, outcomes)
        if key not in self._known:
            chances = self._belief.chances
            silent, spent = self._averaged(how, minutes)
            spread = (spread_of(quiet, outcomes) for quiet in silent)
            self._known[key] = (
                list(map(operator.mul, chances, silent)), list(map(operator.mul, chances, spread)),
                list(map(operator.mul, chances, spent)),
            )
        return self._known[key]

    def _averaged(self, how: Silent, minutes: float) -> tuple[list[float], list[float]]:
        """Chance of silence and minutes watched: what the touch stilled, and what it left active."""
        silent = [how.stilled] * len(self._belief.chances)
        spent = [how.stilled * minutes] * len(silent)
        for share, rate in how.active:
            quiet, watched = self._mean(rate * minutes)
            silent = [a + share * b for a, b in zip(silent, quiet, strict=True)]
            spent = [a + share * b / rate for a, b in zip(spent, watched, strict=True)]
        return silent, spent

    def _mean(self, minutes: float) -> tuple[list[float], list[float]]:
        """Means over the rates of each fault set: silence for so long, and minutes until an event or then."""
        if minutes not in self._means:
            rates = self._belief.rhythm.rates
            quiet = [math.exp(-rate * minutes) for rate in rates]
            spent = [(1.0 - q) / rate for q, rate in zip(quiet, rates, strict=True)]
            rows = self._belief.given
            self._means[minutes] = (
                [math.fsum(map(operator.mul, row, quiet)) for row in rows],
                [math.fsum(map(operator.mul, row, spent)) for row in rows],
            )
        return self._means[minutes]


def spread_of(silent: float, outcomes: int) -> float:
    """Entropy of the answer of a change that shows one thing or is silent with this chance, wrong answers counted."""
    one, other = blurred(silent, outcomes), blurred(1.0 - silent, outcomes)
    never = blurred(0.0, outcomes)
    return -(one * math.log2(one) + other * math.log2(other) + (outcomes - 2) * never * math.log2(never))


def _change(belief: Belief, number: int, test: Test, minutes: float, silences: Silences) -> Option:
    """A change that does not stand yet: hands on, then watching until the trouble shows or the wait is over."""
    count = len(test.outcomes)
    raw = dict.fromkeys(test.outcomes, 0.0)
    within, watch = [], []
    for each in belief.classes.changes[number]:
        weight = math.fsum(map(belief.chances.__getitem__, each.places))
        if each.how is None:
            raw[GOES] += weight
            within.append(weight * spread_of(1.0, count))
            watch.append(weight * minutes)
            continue
        silent, spread, spent = silences.of(each.how, minutes, count)
        quiet = math.fsum(map(silent.__getitem__, each.places))
        raw[GOES] += quiet
        _shown(raw, each, weight - quiet)
        within.append(math.fsum(map(spread.__getitem__, each.places)))
        watch.append(math.fsum(map(spent.__getitem__, each.places)))
    shares = tuple(blurred(raw[outcome], count) for outcome in test.outcomes)
    gain = max(0.0, entropy(shares) - math.fsum(within))
    return Option(number, minutes, gain, test.hands_min + READING_MIN + math.fsum(watch), shares)


def _shown(raw: dict[Outcome, float], each: Class, weight: float) -> None:
    """Two faults of which one stays and one moves share what is shown by halves: rare, and near enough."""
    for outcome in each.shows:
        raw[outcome] += weight / len(each.shows)


def _going_on(belief: Belief, number: int, test: Test, minutes: float) -> Option:
    """The test that stands carried on: no hands-on time, and what healed by its touch is still healed."""
    table = [belief.next_chances(number, Glance(outcome, minutes)) for outcome in test.outcomes]
    shares = tuple(math.fsum(map(operator.mul, belief.chances, row)) for row in table)
    within = math.fsum(p * entropy(column) for p, column in zip(belief.chances, zip(*table, strict=True), strict=True))
    quiet = shares[test.outcomes.index(GOES)]
    watch = minutes * (1.0 - quiet) / -math.log(quiet) if 0.0 < quiet < 1.0 else minutes  # exact for one rate
    return Option(number, minutes, max(0.0, entropy(shares) - within), READING_MIN + watch, shares)


def table_of(belief: Belief, option: Option) -> list[list[float]]:
    """The chance of each outcome (rows) for each fault set (columns)."""
    test = belief.case.tests[option.number]
    if test.is_look:
        looks = belief.classes.looks[option.number]
        return [[row[place] for row in looks] for place in range(len(test.outcomes))]
    return [list(belief.chances_of(option.number, Glance(outcome, option.wait))) for outcome in test.outcomes]
