"""Ctrl-C in the middle of a search: it ends within a second with the best so far and what is proven.

`tests/bench/interrupted.py` does the same 50 times at random moments.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.family import family
from tests.bench.interrupted import stopped, wrong

LOADED_S = 4.0
"""On a machine that others use too."""


MOMENTS = [("rewire", 24, 0.3), ("rewire", 80, 1.0), ("check", 80, 0.1)]


@pytest.mark.slow
@pytest.mark.parametrize(("command", "devices", "after_s"), MOMENTS)
def test_a_search_that_is_stopped_tells_the_best_so_far(
    command: str, devices: int, after_s: float, tmp_path: Path
) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(family(devices))
    took, *rest = stopped(command, path, after_s)
    assert took < LOADED_S
    assert wrong(command, 0.0, *rest) == ""
    if command == "rewire":
        assert "Stopped: by plugs alone at least" in " ".join(rest[1].split())
