"""How soon a chase finds the fault beside what people do.

`python tests/bench/bench_chase.py run [--every M] [--policy NAME] [--from K] [--faults N] [--tuning] FILE` runs a
piece and adds its results to FILE, one line of JSON a fault; `python tests/bench/bench_chase.py table FILE` prints the
tables of all pieces in it. `all FILE` does both at once: 10,002 faults for each policy, over an hour of one core.
Without arguments it takes a glance, a quarter of a minute: 40 faults for each policy at one interval, kept in no file.

80 problems (rig × symptom × who is hit) of the seven examples and of 35 random rigs; faults are drawn from a model that
is not the one tests are chosen by (`tests/chase/faults.py`). Every policy gets the same faults, belief and end. With
--tuning other random rigs and other faults are drawn: what is tuned is tuned there, never on those of the table.
"""

from __future__ import annotations

import argparse
import json
import random
import statistics
import sys
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.chase.faults import Fault
from tests.chase.habits import Next, Result, chase, forum, halving, halving_two, own, random_swaps, until_quiet
from tests.chase.problems import problems
from topo.chase.rhythm import every
from topo.model.chase import Dossier

INTERVALS = (4.0, 20.0, 120.0)
POLICIES: dict[str, Next] = {
    "topo chase": own, "halving": halving, "halving, two": halving_two, "forum order": forum, "random": random_swaps,
}
HABITS = {"ten minutes, random": False, "ten minutes, forum": True}
"""The habit of stopping after ten quiet minutes: changes in no order, or in that of forums."""
FEW = 40
"""Faults of a glance, about."""
TABLE, TUNING = "table", "tuning"
SEEDS = {TUNING: 1, TABLE: 2}
"""What random rigs are drawn from."""


def cases_of(drawn: str) -> list[Dossier]:
    """The problems of the table, or others on other random rigs to tune with."""
    return problems(SEEDS[drawn])


def run(
    cases: Sequence[Dossier], name: str, interval: float, numbers: Sequence[int], drawn: str = TABLE
) -> list[dict[str, object]]:
    """Faults of these numbers, over the problems in turn, chased by one policy."""
    found = []
    for number in numbers:
        fault = Fault(cases[number % len(cases)], interval, random.Random(f"{drawn} {interval:g} {number}"))
        if name in HABITS:
            gone, minutes = until_quiet(fault, HABITS[name], 10.0, number)
            result = Result(gone, False, not gone, minutes, 0)
        else:
            result = chase(fault, every(interval), POLICIES[name], number)
        found.append({"policy": name, "every": interval, "fault": number, "drawn": drawn, **asdict(result)})
    return found


def percentile(results: Sequence[Result], share: float) -> float:
    """Minutes to the right name or set, all else counted as never."""
    minutes = sorted(r.minutes if r.found else float("inf") for r in results)
    return minutes[min(len(minutes) - 1, int(share * len(minutes)))]


def row(name: str, interval: float, results: Sequence[Result]) -> str:
    """One line of the table."""
    count = len(results) / 100
    return (
        f"{name:13}{interval:6.0f}{len(results):7} {sum(r.named for r in results) / count:6.1f} "
        f"{sum(r.in_set for r in results) / count:6.1f} {sum(r.found for r in results) / count:6.1f} "
        f"{sum(r.wrong for r in results) / count:6.1f} {percentile(results, 0.5):8.0f} {percentile(results, 0.8):8.0f} "
        f"{statistics.median(r.minutes for r in results):8.0f} {statistics.fmean(r.tests for r in results):6.1f}"
    )


def table(lines: Sequence[str]) -> list[str]:
    """The tables of all results, each fault of each policy counted once."""
    kept: dict[tuple[str, float, int], Result] = {}
    for line in lines:
        read = json.loads(line)
        key = (read.pop("policy"), read.pop("every"), read.pop("fault"))
        drawn = read.pop("drawn")
        kept[key] = Result(**read)
    found: dict[tuple[str, float], list[Result]] = defaultdict(list)
    for (name, interval, _), result in sorted(kept.items()):
        found[name, interval].append(result)
    cases = cases_of(drawn)
    suspects, tests = sorted(len(c.suspects) for c in cases), sorted(len(c.tests) for c in cases)
    told = [f"{len(cases)} problems ({drawn}), {suspects[0]} to {suspects[-1]} suspects, "
            f"{tests[0]} to {tests[-1]} tests",
            "policy        every faults  named    set  found  wrong   median     80th   to end  tests"]
    for interval in INTERVALS:
        own_ = found.get(("topo chase", interval))
        for name in POLICIES:
            results = found.get((name, interval))
            if results:
                told.append(row(name, interval, results) + (_ratios(results, own_) if own_ and results != own_ else ""))
        for name in HABITS:
            results = found.get((name, interval))
            if results:
                still = 100 * sum(r.wrong for r in results) / len(results)
                median = statistics.median(r.minutes for r in results)
                told.append(f"{name}, every {interval:.0f} min: not gone in {still:.0f} of 100 of {len(results)}, "
                            f"median {median:.0f} min")
    return told


def _ratios(results: Sequence[Result], own_: Sequence[Result]) -> str:
    shares = (percentile(results, share) / percentile(own_, share) for share in (0.5, 0.8))
    return "  × " + " / ".join(f"{ratio:.2f}" for ratio in shares)


def glance() -> list[str]:
    """The table of a few faults at the middle interval."""
    cases = cases_of(TABLE)
    numbers = range(0, len(cases), len(cases) // FEW)  # of all rigs, not only of the first
    return table([json.dumps(result) for name in (*POLICIES, *HABITS)
                  for result in run(cases, name, INTERVALS[1], numbers)])


def main() -> None:
    """Runs a piece, prints the table, or does both; or takes a glance."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", nargs="?", choices=("glance", "run", "table", "all"), default="glance")
    parser.add_argument("file", nargs="?", default="chase-faults.jsonl")
    parser.add_argument("--every", type=float, action="append", help="mean interval, minutes; may be given again")
    parser.add_argument("--policy", action="append", choices=(*POLICIES, *HABITS))
    parser.add_argument("--from", dest="first", type=int, default=0, help="number of the first fault")
    parser.add_argument("--faults", type=int, default=3334, help="how many for each interval and policy")
    parser.add_argument("--tuning", action="store_true", help="other rigs and other faults than those of the table")
    asked = parser.parse_args()
    if asked.what == "glance":
        print("\n".join(glance()))
        return
    drawn = TUNING if asked.tuning else TABLE
    if asked.what != "table":
        cases = cases_of(drawn)
        for interval in asked.every or INTERVALS:
            for name in asked.policy or (*POLICIES, *HABITS):
                results = run(cases, name, interval, range(asked.first, asked.first + asked.faults), drawn)
                with Path(asked.file).open("a", encoding="utf-8") as file:
                    file.writelines(json.dumps(result) + "\n" for result in results)
    if asked.what != "run":
        text = Path(asked.file).read_text(encoding="utf-8")
        print("\n".join(table(text.splitlines())))


if __name__ == "__main__":
    main()
