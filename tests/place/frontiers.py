"""The frontier of the search held against brute force: `python tests/place/frontiers.py [FIRST] [LAST] [MOST]`.

Random small rigs with power sides, serial lines and night sections, of two devices or a few more and one free socket,
so that most can be tried whole; sets of three changes, or of two or one where a rig has more than MOST (3,000) of them.
Prints each rig that differs; exits 1 where one does.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from pathlib import Path
from unittest.mock import patch

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.place.brute_frontier import Point, TooMany, brute_frontier
from tests.place.random_rigs import EXAMINER, rig_from, whole_text
from topo.analysis.study import Study
from topo.frozen import replace
from topo.model.change import SetLead, SetSerial, SetSupply, SetUse
from topo.model.finding import in_order
from topo.model.rig import Rig
from topo.place import frontier as frontiers
from topo.place.judge import Judged


def point(judged: Judged) -> Point:
    """What a plan asks and leaves."""
    return (*frontiers.asks(judged), len(judged.proposal.to_try)), judged.left


def size_of(judged: Judged) -> int:
    """Of how many changes a plan is, as brute force counts them."""
    proposal = judged.proposal
    of_power = 0 if proposal.buys else sum(isinstance(step, SetLead | SetSupply) for step in proposal.steps)
    return len(proposal.buys) + proposal.plugs + of_power + sum(
        isinstance(step, SetUse | SetSerial) for step in proposal.steps
    )


def beaten(one: Point, others: set[Point]) -> bool:
    """Whether one of the others asks no more and leaves no more, or is the same."""
    return any(all(a <= b for a, b in zip(other[0], one[0], strict=True)) and other[1] <= one[1] for other in others)


def differences(rig: Rig, size: int, most_states: int) -> tuple[set[Point], set[Point]]:
    """What brute force has and the search has not, and the other way round. Raises TooMany."""
    wanted = brute_frontier(rig, size, most_states)
    study = Study(rig)
    with patch.object(frontiers, "MOST_PLANS_SHOWN", 1000), patch.object(frontiers, "MOST_COMBINED", 1e9):
        plans = frontiers.frontier(study, in_order(EXAMINER(study)), EXAMINER, most_moves=size).plans
    found = {point(judged) for judged in plans}
    alike = {point(judged) for judged in plans if size_of(judged) <= size and len(judged.proposal.buys) <= 1}
    return {p for p in wanted if not beaten(p, found)}, {p for p in alike if not beaten(p, wanted)}


def with_few_free(rig: Rig, seed: int) -> Rig:
    """The rig without all its free sockets but one, drawn."""
    pick, taken = random.Random(seed), {(part.plug.part, part.plug.socket) for part in rig.plugged if part.plug}
    free = [(part.id, each.name) for part in rig.parts for each in part.sockets if (part.id, each.name) not in taken]
    kept = taken | set(pick.sample(free, min(len(free), 1)))
    for part in rig.parts:
        rig = rig.with_part(replace(part, sockets=tuple(s for s in part.sockets if (part.id, s.name) in kept)))
    return rig


def main() -> int:
    """The exit status."""
    first, last, most = (*map(int, sys.argv[1:]), *(0, 200, 3_000)[len(sys.argv) - 1 :])
    sizes: Counter[int] = Counter()
    wrong = 0
    for seed in range(first, last):
        rig = with_few_free(rig_from(whole_text(seed, 2)), seed)
        for size in (3, 2, 1):
            try:
                missing, beyond = differences(rig, size, most)
            except TooMany:
                continue
            sizes[size] += 1
            if missing or beyond:
                wrong += 1
                told = f"missing {sorted(missing)}, beyond brute force {sorted(beyond)}"
                print(seed, f"{size} changes: {told}", flush=True)
            break
    print(f"{sum(sizes.values())} rigs ({dict(sizes)} by changes), {wrong} differ")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
