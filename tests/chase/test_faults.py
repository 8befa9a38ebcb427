"""A small run of the experiment of tests/bench/bench_chase.py: found and wrong within what few faults can show."""

from __future__ import annotations

import itertools
import json
import random
import statistics

import pytest

from tests.bench.bench_chase import SEEDS, TABLE, TUNING, cases_of, table
from tests.bench.bench_chase import run as bench_run
from tests.chase.faults import Fault
from tests.chase.habits import Result, chase, own, random_swaps, until_quiet
from tests.chase.problems import examples, problems, rigs_in_turn
from topo.chase.rhythm import every
from topo.chase.wires import Wires

FEW_PROBLEMS = (("drops", 6), ("several-drop", 2), ("guide-late", 3), ("camera-timeout", 3))
FAULTS = 42


def run(following: object, faults: int) -> list[Result]:
    cases = problems(mix=FEW_PROBLEMS)
    results = []
    for number in range(faults):
        fault = Fault(cases[number % len(cases)], 20.0, random.Random(f"small {number}"))
        results.append(chase(fault, every(20.0), following, number))  # type: ignore[arg-type]
    return results


@pytest.mark.slow
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


def test_pieces_of_the_experiment_make_one_table() -> None:
    """A fault is drawn from its number, so that pieces may be run anywhere, in any order; none is counted twice."""
    cases = cases_of(TABLE)
    whole = bench_run(cases, "topo chase", 4.0, range(6))
    pieces = [*bench_run(cases, "topo chase", 4.0, range(3, 6)), *bench_run(cases, "topo chase", 4.0, range(4))]
    lines = [json.dumps(each) for each in whole]
    assert sorted({json.dumps(each) for each in pieces}) == sorted(lines)
    assert table(lines) == table([json.dumps(each) for each in pieces])
    assert table(lines)[2].split()[:4] == ["topo", "chase", "4", "6"]


def test_what_is_tuned_is_tuned_on_other_rigs() -> None:
    tuned, shown = ([rig for rig in _rigs_of(drawn) if rig not in examples()] for drawn in (TUNING, TABLE))
    assert tuned and shown
    assert not [rig for rig in tuned if rig in shown]


def _rigs_of(drawn: str) -> list[Wires]:
    """The first rigs that problems are made of."""
    return list(itertools.islice(rigs_in_turn(random.Random(SEEDS[drawn])), 60))
