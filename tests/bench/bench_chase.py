"""How soon a chase finds the fault beside what people do: `python tests/bench/bench_chase.py [FAULTS] [MINUTES]`.

80 problems (rig × symptom × who is hit), FAULTS faults for each mean interval (MINUTES; else 4, 20 and 120), drawn
from a model that is not the one tests are chosen by (`tests/chase/faults.py`). Every policy gets the same faults, the
same belief and the same end. Prints tables, and the ratios to the best of the habits.
"""

from __future__ import annotations

import random
import statistics
import sys
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.chase.faults import Fault
from tests.chase.habits import Next, Result, chase, forum, halving, own, random_swaps, until_quiet
from tests.chase.problems import problems
from topo.chase.rhythm import every
from topo.model.chase import Dossier

INTERVALS = (4.0, 20.0, 120.0)
POLICIES: tuple[tuple[str, Next], ...] = (
    ("topo chase", own), ("halving", halving), ("forum order", forum), ("random", random_swaps),
)


def run(cases: Sequence[Dossier], following: Next, interval: float, faults: int) -> list[Result]:
    """So many faults over the problems in turn."""
    rhythm = every(interval)
    results = []
    for number in range(faults):
        case = cases[number % len(cases)]
        fault = Fault(case, interval, random.Random(f"{interval} {number}"))
        results.append(chase(fault, rhythm, following, number))
    return results


def percentile(results: Sequence[Result], share: float) -> float:
    """Minutes to the right name or set, all else counted as never."""
    minutes = sorted(r.minutes if r.found else float("inf") for r in results)
    return minutes[min(len(minutes) - 1, int(share * len(minutes)))]


def row(name: str, interval: float, results: Sequence[Result]) -> str:
    """One line of the table."""
    count = len(results) / 100
    return (
        f"{name:12} {interval:5.0f} {sum(r.named for r in results) / count:6.1f} "
        f"{sum(r.in_set for r in results) / count:6.1f} {sum(r.found for r in results) / count:6.1f} "
        f"{sum(r.wrong for r in results) / count:6.1f} {percentile(results, 0.5):8.0f} {percentile(results, 0.8):8.0f} "
        f"{statistics.median(r.minutes for r in results):8.0f} {statistics.fmean(r.tests for r in results):6.1f}"
    )


def habit(cases: Sequence[Dossier], interval: float, ordered: bool, faults: int) -> str:
    """How often the trouble was really gone after the first ten quiet minutes."""
    ends = []
    for number in range(faults):
        fault = Fault(cases[number % len(cases)], interval, random.Random(f"{interval} {number}"))
        ends.append(until_quiet(fault, ordered, 10.0, number))
    not_gone = 100.0 * sum(not gone for gone, _ in ends) / len(ends)
    order = "forum order" if ordered else "random"
    return f"{order:12} {interval:5.0f} {not_gone:8.0f} {statistics.median(minutes for _, minutes in ends):8.0f}"


def main() -> None:
    """Prints everything."""
    faults = int(sys.argv[1]) if len(sys.argv) > 1 else 3334
    intervals = (float(sys.argv[2]),) if len(sys.argv) > 2 else INTERVALS
    cases = problems()
    sizes = sorted(len(case.suspects) for case in cases), sorted(len(case.tests) for case in cases)
    print(f"{len(cases)} problems, {sizes[0][0]} to {sizes[0][-1]} suspects, {sizes[1][0]} to {sizes[1][-1]} tests; "
          f"{faults} faults for each interval and policy", flush=True)
    print("policy       every  named    set  found  wrong   median     80th   to end  tests")
    found: dict[tuple[str, float], list[Result]] = {}
    for interval in intervals:
        for name, following in POLICIES:
            found[name, interval] = run(cases, following, interval, faults)
            print(row(name, interval, found[name, interval]), flush=True)
        for share, words in ((0.5, "median"), (0.8, "80th")):
            mine = percentile(found["topo chase", interval], share)
            ratios = (f"{name} {percentile(found[name, interval], share) / mine:.2f}" for name, _ in POLICIES[1:])
            print(f"  {words}: times as long: {', '.join(ratios)}", flush=True)
    print("first ten quiet minutes: trouble not gone in so many of 100, median minutes")
    for interval in intervals:
        for ordered in (False, True):
            print(habit(cases, interval, ordered, faults), flush=True)


if __name__ == "__main__":
    main()
