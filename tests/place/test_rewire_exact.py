"""The search for the fewest moves against every set of moves tried, and against an independent solver."""

from __future__ import annotations

import pytest

from tests.place.brute import brute
from tests.place.random_rigs import EXAMINER, random_text, rig_from
from topo.place.search import rewire

SEEDS = range(520)
SIZES = {size: [seed for seed in SEEDS if seed % 13 == size] for size in range(13)}


def most_of(seed: int, parts: int) -> int:
    """How many moves are tried: fewer on larger rigs, to end in time."""
    return 3 if parts <= 3 else 2 if parts <= 5 else 1


@pytest.mark.parametrize("group", range(13))
def test_equal_to_every_set_of_moves(group: int) -> None:
    for seed in SIZES[group]:
        rig = rig_from(random_text(seed))
        most = most_of(seed, len(rig.parts) - 1)
        wanted = brute(rig, ("fault",), most)
        answer = rewire(rig, EXAMINER, ("fault",), most)
        found = None if answer.plan is None else (len(answer.plan.moves), answer.plan.consequence)
        assert found == wanted, (seed, random_text(seed), answer.plan and answer.plan.moves)
