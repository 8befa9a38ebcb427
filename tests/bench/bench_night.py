"""How quick nights are, as ratios. A script: exits 1 beyond its limits.

    python tests/bench/bench_night.py [REPEATS]

Ten hours of the fifteen devices of garden-pier against a slice of a model by transactions, scaled to ten hours; fifty
of its nights against starting Python. Times are the best of several, since the machine may be busy.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.night.test_transactions import CASES, by_transactions
from topo.model.night import DISCIPLINES
from topo.night.outcome import Nights
from topo.night.planned import nights_of
from topo.night.run import Draw
from topo.pipeline import study_file

RIG = Path(__file__).parents[2] / "examples" / "garden-pier" / "rig.yaml"
TEN_HOURS = 36_000.0
SLICE_S = 12.0
LEAST_FASTER, MOST_OF_PYTHON = 2000.0, 60.0
NIGHTS = 50


def best(what: Callable[[], object], repeats: int) -> float:
    """Seconds of the quickest of several runs."""
    took = []
    for _ in range(repeats):
        start = time.perf_counter()
        what()
        took.append(time.perf_counter() - start)
    return min(took)


def fifty(nights: Nights) -> None:
    """Fifty nights as planned, under both ways of sharing, at every level."""
    for number in range(NIGHTS):
        nights.of(("low", "likely", "high")[number % 3], DISCIPLINES[number % 2], Draw(number))


def main(repeats: int) -> int:
    study = study_file(RIG)
    nights = nights_of(study.topology, study.traffic)
    long = replace(nights, plan=replace(nights.plan, seconds=TEN_HOURS))
    case = replace(CASES["three cameras"], seconds=SLICE_S)
    slow = best(lambda: by_transactions(case, "last", 1), repeats) * TEN_HOURS / SLICE_S
    quick = best(lambda: long.of("likely", "last", Draw(1)), 5 * repeats)
    bare = best(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True), 5 * repeats)
    many = best(lambda: fifty(nights), repeats)
    faster, starts = slow / quick, many / bare
    print(f"10 h of {len(study.rig.devices)} devices: {quick * 1e3:.0f} ms; by transactions three cameras alone would "
          f"take {slow:.0f} s: {faster:,.0f} times (at least {LEAST_FASTER:,.0f})")
    print(f"{NIGHTS} nights of them: {many:.2f} s, {starts:.0f} times bare Python (at most {MOST_OF_PYTHON:.0f})")
    return int(faster < LEAST_FASTER or starts > MOST_OF_PYTHON)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 3))
