"""Chance: worked tables, false alarms and hits of both tests, and when nothing can be decided.

The tables of how many glitches are needed are exact binomial sums; Holm's figures are a worked example;
the rates of both tests on simulated schedules are held against those of random shuffling by another program.
"""

from __future__ import annotations

import itertools
import math
import random

import pytest
from scipy import stats

from topo.evidence import chance
from topo.evidence.chance import Trial, trial

NEEDED = {
    (0.05, 0.01): [(1, 1), (1, 2), (3, 8), (9, 14), (14, 21)],
    (0.05, 0.02): [(1, 1), (1, 4), (5, 8), (9, 14), (13, 27)],
    (0.05, 0.05): [(1, 1), (3, 4), (5, 10), (12, 21), (22, 36)],
    (0.05, 0.10): [(2, 2), (3, 5), (7, 12), (17, 29), (31, 53)],
    (0.05, 0.20): [(2, 2), (4, 7), (12, 19), (27, 46), (58, 92)],
    (0.05, 0.50): [(5, 5), (11, 16), (28, 44), (76, 126), (169, 281)],
    (0.01, 0.01): [(1, 1), (3, 4), (5, 8), (9, 19), (20, 29)],
    (0.01, 0.02): [(2, 2), (3, 4), (5, 10), (13, 18), (25, 34)],
    (0.01, 0.05): [(2, 2), (3, 6), (7, 13), (19, 29), (32, 52)],
    (0.01, 0.10): [(2, 2), (4, 7), (11, 16), (23, 39), (47, 74)],
    (0.01, 0.20): [(3, 3), (7, 9), (16, 25), (42, 61), (81, 129)],
    (0.01, 0.50): [(7, 7), (17, 22), (42, 64), (119, 181), (261, 402)],
}


@pytest.mark.parametrize("level, share", NEEDED)
def test_how_many_glitches_are_needed(level: float, share: float) -> None:
    got = [
        tuple(chance.needed(share, caused, level, power) for power in (0.8, 0.95)) for caused in (1, 0.8, 0.5, 0.3, 0.2)
    ]
    assert got == NEEDED[(level, share)]


def test_bounds_where_nothing_hit() -> None:
    assert [round(chance.none_bound(n), 3) for n in (3, 5, 10, 20, 30, 60)] == [
        0.632,
        0.451,
        0.259,
        0.139,
        0.095,
        0.049,
    ]


def test_holm() -> None:
    assert [round(p, 3) for p in chance.holm([0.011, 0.02, 0.03, 0.04, 0.2])] == [0.055, 0.08, 0.09, 0.09, 0.2]
    assert chance.holm([0.2, 0.011]) == [0.2, 0.022]


def test_binomial_and_interval_against_scipy() -> None:
    for hits, count, share in ((0, 5, 0.1), (3, 12, 0.1), (7, 9, 0.5), (20, 20, 0.3), (1, 60, 0.02)):
        assert chance.binomial_tail(hits, count, share) == pytest.approx(
            stats.binom.sf(hits - 1, count, share), abs=1e-9
        )
        exact = stats.binomtest(hits, count).proportion_ci(0.95, "exact")
        assert chance.interval(hits, count) == pytest.approx((exact.low, exact.high), abs=1e-6)


def small_trials(seed: int, count: int) -> list[Trial]:
    rng = random.Random(seed)
    made = []
    for _ in range(count):
        chances = [float(n) for n in range(rng.randint(12, 40))]
        starts = sorted(rng.sample(range(len(chances)), rng.randint(2, 5)))
        glitches = sorted(rng.sample(range(len(chances)), rng.randint(1, 5)))
        made.append(trial(chances, [(s, s + rng.randint(0, 3)) for s in starts], [float(g) for g in glitches], 0.5))
    return made


@pytest.mark.parametrize("one", small_trials(3, 60))
def test_shifts_against_shifting_by_hand(one: Trial) -> None:
    n = one.count
    by_hand = [sum(one.holds((g + s) % n) for g in one.glitches) for s in range(n)]
    assert chance.shifted(one, one.glitches) == by_hand
    assert chance.shift_p(one) == sum(k >= one.hits for k in by_hand) / n


@pytest.mark.parametrize("one", small_trials(4, 40))
def test_cycles_against_every_combination(one: Trial) -> None:
    edges = sorted({0, *one.starts, one.count})
    cycles = [(a, b, [g for g in one.glitches if a <= g < b]) for a, b in itertools.pairwise(edges)]
    cycles = [each for each in cycles if each[2]]
    total = reached = 0
    for shifts in itertools.product(*(range(b - a) for a, b, _ in cycles)):
        hits = sum(
            one.holds(a + (g - a + s) % (b - a)) for s, (a, b, gs) in zip(shifts, cycles, strict=True) for g in gs
        )
        total += 1
        reached += hits >= one.hits
    assert chance.cycle_p(one) == pytest.approx(reached / total, abs=1e-12)


def schedule(length: float, cadence: float, uneven: float, rng: random.Random) -> list[float]:
    at, found = rng.random() * cadence, []
    while at < length:
        found.append(at)
        at += cadence + (rng.random() * uneven if uneven else 0)
    return found


def glitches_of(state: str, starts: list[float], length: float, rng: random.Random) -> list[float]:
    if state == "single":
        return [rng.random() * length for _ in range(20)]
    if state == "burst":
        return [(b + 2 * i) % length for b in [rng.random() * length for _ in range(5)] for i in range(4)]
    if state.startswith("every"):
        period = float(state[5:])
        at, found = rng.random() * period, []
        while at < length:
            found.append((at + rng.gauss(0, 0.3)) % length)
            at += period
        return found
    share = float(state[4:])
    return [
        (rng.choice(starts) + 1 + rng.random() * 2 if rng.random() < share else rng.random() * length) % length
        for _ in range(20)
    ]


RATES = [  # state, cadence, unevenness, window: free shuffling, within cycles, shifting; bands around published rates
    (("single", 120, 0, 12), (0, 0.12), (0, 0.12), (0, 0.08)),
    (("burst", 120, 0, 12), (0.06, 0.3), (0, 0.12), (0, 0.1)),
    (("every40", 120, 0, 12), (0.15, 0.6), (0.15, 0.6), (0, 0.05)),
    (("every60", 120, 0, 12), (0.05, 0.5), (0.05, 0.5), (0, 0.05)),
    (("every40", 120, 30, 12), (0, 0.08), (0, 0.08), (0, 0.08)),
    (("true0.5", 120, 0, 12), (0.95, 1), (0.95, 1), (0, 0.5)),
    (("true0.5", 120, 30, 12), (0.95, 1), (0.95, 1), (0.95, 1)),
    (("true1", 120, 0, 12), (0.95, 1), (0.95, 1), (0, 0.2)),
    (("true1", 120, 0, 3), (0.95, 1), (0.95, 1), (0.95, 1)),
]


@pytest.mark.parametrize(("case", "free", "within", "shift"), RATES)
def test_false_alarms_and_hits(
    case: tuple[str, int, int, int], free: tuple[float, float], within: tuple[float, float], shift: tuple[float, float]
) -> None:
    state, cadence, uneven, window = case
    rng, runs, length = random.Random(7), 20, 7200
    chances = [float(n) for n in range(length)]
    rejected = [0, 0, 0]
    even = []
    for _ in range(runs):
        starts = schedule(length, cadence, uneven, rng)
        found = [math.floor(g) for g in glitches_of(state, starts, length, rng)]
        one = trial(chances, [(s, s + window - 1e-6) for s in starts], found, -1)
        for n, p in enumerate(
            (chance.binomial_tail(one.hits, len(one.glitches), one.share), chance.cycle_p(one), chance.shift_p(one))
        ):
            rejected[n] += p <= 0.05
        even.append(chance.evenness(one) > chance.EVEN)
    for got, (low, high) in zip(rejected, (free, within, shift), strict=True):
        assert low <= got / runs <= high, rejected
    assert all(even) == (uneven == 0) and any(even) == (uneven == 0)


def test_glitches_close_together_are_one() -> None:
    one = trial([float(n) for n in range(100)], [(10, 12)], [10, 11, 12, 13, 50], 2.5)
    assert one.glitches == (10, 50)
    assert one.hits == 1
