"""A small run of the experiment of tests/bench/bench_chase.py: found and wrong within what few faults can show."""

from __future__ import annotations

import random
import statistics

from tests.chase.faults import Fault
from tests.chase.habits import Result, chase, own, random_swaps, until_quiet
from tests.chase.problems import problems
from topo.chase.rhythm import every

FEW_PROBLEMS = (("drops", 6), ("several-drop", 2), ("guide-late", 3), ("camera-timeout", 3))
FAULTS = 42


def run(following: object, faults: int) -> list[Result]:
    cases = problems(mix=FEW_PROBLEMS)
    results = []
    for number in range(faults):
        fault = Fault(cases[number % len(cases)], 20.0, random.Random(f"small {number}"))
        results.append(chase(fault, every(20.0), following, number))  # type: ignore[arg-type]
    return results


def test_most_faults_are_found_and_few_names_are_wrong() -> None:
    results = run(own, FAULTS)
    assert sum(result.found for result in results) >= 0.8 * FAULTS
    assert sum(result.wrong for result in results) <= 0.12 * FAULTS
    swapped = run(random_swaps, FAULTS // 2)
    assert statistics.median(r.minutes for r in swapped) > 1.3 * statistics.median(r.minutes for r in results)


def test_ten_quiet_minutes_are_no_cure() -> None:
    cases = problems(mix=FEW_PROBLEMS)
    gone = [
        until_quiet(Fault(cases[n % len(cases)], 20.0, random.Random(n)), True, 10.0, n)[0] for n in range(100)
    ]
    assert sum(gone) < 50
