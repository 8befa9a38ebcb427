"""The frontier of the search is that of brute force. `frontiers.py` does the same on many more rigs."""

from __future__ import annotations

import pytest

from tests.place.brute_frontier import TooMany
from tests.place.frontiers import differences
from tests.place.random_rigs import rig_from, whole_text
from tests.samples import share


@pytest.mark.parametrize("start", share(range(0, 40, 5), 1))
def test_the_same_frontier(start: int) -> None:
    held = 0
    for seed in range(start, start + 5):
        for size in (3, 2, 1):
            try:
                assert differences(rig_from(whole_text(seed, 4)), size, 250) == (set(), set()), (seed, size)
            except TooMany:
                continue
            held += 1
            break
    assert held >= 4
