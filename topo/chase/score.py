"""What each test would tell for each minute: expected fall of entropy over hands-on time and expected watching.

I = H(outcome) − Σ p H(outcome | faults), the same number as the expected fall of the entropy of the belief. One step
ahead only; `choose.py` looks further where that pays. All sums over a test go by classes of fault sets that differ
only in their rates (`classes.py`), since this is asked of every test with every wait.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Sequence

from topo.chase.belief import Belief
from topo.chase.classes import Class, Silent
from topo.chase.likely import WRONG, Glance, blurred
from topo.frozen import frozen
from topo.model.chase import GOES, MOVES, STAYS, OutcomeWord, Test

READING_MIN = 1.0
"""Reading the advice and noting the answer, minutes (judgement)."""
MOST_WATCHED = 9.0
"""Mean intervals that one change is watched at most, all its waits together."""
PROMISING = 6
"""Two changes at once are scored where both are among so many that tell most for each minute alone."""


@frozen
class Prospect:
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


def options(belief: Belief, watched: Sequence[float], looked: frozenset[str]) -> list[Prospect]:
    """Every test that may be done now with every wait worth trying, in the order of the case.

    `watched[test]` is how long each change was watched already, minutes; `looked` are families of looks that are done.
    """
    silences = Silences(belief)
    singles = [number for number, test in enumerate(belief.case.tests) if not test.both]
    found = {number: _waits(belief, number, watched, looked, silences) for number in singles}
    rates = [(max((o.per_minute for o in found[n]), default=0.0), n) for n in singles]
    changes = [(-rate, n) for rate, n in rates if not belief.case.tests[n].is_look]
    promising = {belief.case.tests[number].key for _, number in sorted(changes)[:PROMISING]}
    for number, test in enumerate(belief.case.tests):
        if test.both and (promising.issuperset(test.both) or number == belief.standing):
            found[number] = _waits(belief, number, watched, looked, silences)
    return [option for number in sorted(found) for option in found[number]]


def _waits(
    belief: Belief, number: int, watched: Sequence[float], looked: frozenset[str], silences: Silences
) -> list[Prospect]:
    """One test with every wait that it may be given now."""
    test = belief.case.tests[number]
    if test.is_look:
        return [] if test.family in looked else [option_of(belief, number, 0.0, silences)]
    waits = [wait for wait in belief.rhythm.waits if not full(belief, number, watched[number], wait)]
    return [option_of(belief, number, wait / test.pace, silences) for wait in waits]


def full(belief: Belief, number: int, watched: float, wait: float) -> bool:
    """True where a change was watched long enough, whatever it showed: one that was never watched is not."""
    pace = belief.case.tests[number].pace
    return watched > 0.0 and watched + wait / pace > MOST_WATCHED * belief.rhythm.interval / pace * (1.0 + 1e-9)


def option_of(belief: Belief, number: int, minutes: float, silences: Silences) -> Prospect:
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


def _look(belief: Belief, number: int, test: Test) -> Prospect:
    chances = belief.chances
    table = [[row[place] for row in belief.classes.looks[number]] for place in range(len(test.outcomes))]
    shares = tuple(math.fsum(map(operator.mul, chances, row)) for row in table)
    within = math.fsum(map(operator.mul, chances, belief.classes.look_entropy[number]))
    return Prospect(number, 0.0, max(0.0, entropy(shares) - within), test.hands_min + READING_MIN, shares)


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
            silent, spent = self.averaged(how, minutes)
            spread = spreads_of(silent, outcomes)
            self._known[key] = (
                list(map(operator.mul, chances, silent)), list(map(operator.mul, chances, spread)),
                list(map(operator.mul, chances, spent)),
            )
        return self._known[key]

    def averaged(self, how: Silent, minutes: float) -> tuple[list[float], list[float]]:
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


def spreads_of(silent: Sequence[float], outcomes: int) -> list[float]:
    """Entropies of the answer of a change that shows one thing or is silent with these chances."""
    log, never = math.log2, WRONG / (outcomes - 1)
    truly, rest = 1.0 - WRONG - never, (outcomes - 2) * never * math.log2(never)
    pairs = ((never + truly * quiet, never + truly * (1.0 - quiet)) for quiet in silent)
    return [-(quiet * log(quiet) + shown * log(shown) + rest) for quiet, shown in pairs]


def _change(belief: Belief, number: int, test: Test, minutes: float, silences: Silences) -> Prospect:
    """A change that does not stand yet: hands on, then watching until the trouble shows or the wait is over."""
    count = len(test.outcomes)
    raw = dict.fromkeys(test.outcomes, 0.0)
    within, watch = [], []
    for each in belief.classes.changes[number]:
        weight = math.fsum(map(belief.chances.__getitem__, each.places))
        if each.how is None:
            raw[GOES] += weight
            within.append(weight * spreads_of([1.0], count)[0])
            watch.append(weight * minutes)
            continue
        silent, spread, spent = silences.of(each.how, minutes, count)
        watch.append(math.fsum(map(spent.__getitem__, each.places)))
        if each.staying is not None:
            averages = [silences.averaged(how, minutes)[0] for how in (each.how, each.staying)]
            within.append(_mixed(belief, each, raw, averages[0], averages[1]))
            continue
        quiet = math.fsum(map(silent.__getitem__, each.places))
        raw[GOES] += quiet
        raw[each.shows[0]] += weight - quiet
        within.append(math.fsum(map(spread.__getitem__, each.places)))
    return _option(number, test, minutes, raw, math.fsum(within), test.hands_min + READING_MIN + math.fsum(watch))


def _mixed(
    belief: Belief, each: Class, raw: dict[OutcomeWord, float], silent: Sequence[float], no_stay: Sequence[float]
) -> float:
    """Two faults of which one stays and one moves: adds to the chances, and gives their weight times entropy."""
    spread = []
    for place in each.places:
        weight = belief.chances[place]
        parts = {STAYS: 1.0 - no_stay[place], MOVES: no_stay[place] - silent[place], GOES: silent[place]}
        for outcome, chance in parts.items():
            raw[outcome] += weight * chance
        spread.append(weight * entropy([blurred(chance, len(parts)) for chance in parts.values()]))
    return math.fsum(spread)


def _option(
    number: int, test: Test, minutes: float, raw: dict[OutcomeWord, float], within: float, cost: float
) -> Prospect:
    shares = tuple(blurred(raw[outcome], len(raw)) for outcome in test.outcomes)
    return Prospect(number, minutes, max(0.0, entropy(shares) - within), cost, shares)


def _going_on(belief: Belief, number: int, test: Test, minutes: float) -> Prospect:
    """The test that stands carried on: no hands-on time, and what healed by its touch is still healed."""
    silent, no_stay = _again(belief, number, test, minutes)
    raw = dict.fromkeys(test.outcomes, 0.0)
    within = []
    for each in belief.classes.changes[number]:
        if each.staying is not None:
            within.append(_mixed(belief, each, raw, silent, no_stay))
            continue
        for place in each.places:
            raw[GOES] += belief.chances[place] * silent[place]
            if each.shows:
                raw[each.shows[0]] += belief.chances[place] * (1.0 - silent[place])
        weights = [belief.chances[place] for place in each.places]
        spread = spreads_of([silent[place] for place in each.places], len(raw))
        within.append(math.fsum(map(operator.mul, weights, spread)))
    quiet = raw[GOES]
    watch = minutes * (1.0 - quiet) / -math.log(quiet) if 0.0 < quiet < 1.0 else minutes  # exact for one rate
    return _option(number, test, minutes, raw, math.fsum(within), READING_MIN + watch)


def _again(belief: Belief, number: int, test: Test, minutes: float) -> tuple[list[float], list[float]]:
    """For each fault set, while the standing test is carried on: the chance of silence, and that nothing stays.

    Wrong answers are taken out again, so that both are what happens, not what is told.
    """
    never = WRONG / (len(test.outcomes) - 1)

    def happens(outcome: OutcomeWord) -> list[float]:
        told = belief.next_chances(number, Glance(outcome, minutes))
        return [min(1.0, max(0.0, (chance - never) / (1.0 - WRONG - never))) for chance in told]

    silent = happens(GOES)
    if not any(each.staying for each in belief.classes.changes[number]):
        return silent, silent
    return silent, [1.0 - chance for chance in happens(STAYS)]


def table_of(belief: Belief, option: Prospect, silences: Silences) -> list[list[float]]:
    """The chance of each outcome (rows) for each suspect (columns), were it the only fault."""
    test, number, count = belief.case.tests[option.number], option.number, len(belief.case.suspects)
    if test.is_look:
        alone = belief.classes.looks[number][:count]
        return [[row[place] for row in alone] for place in range(len(test.outcomes))]
    standing = _again(belief, number, test, option.wait)[0] if number == belief.standing else None
    columns: list[list[float]] = [[]] * count
    for each in belief.classes.changes[number]:
        silent = standing or (silences.averaged(each.how, option.wait)[0] if each.how else [1.0] * len(belief.sets))
        for place in each.places:
            if place < count:  # fault sets begin with the single suspects
                shown = {GOES: silent[place], **dict.fromkeys(each.shows, 1.0 - silent[place])}
                columns[place] = [blurred(shown.get(outcome, 0.0), len(test.outcomes)) for outcome in test.outcomes]
    return [list(row) for row in zip(*columns, strict=True)]
