"""Mistakes planted in `topo/night/` that no test noticed, each with a case of its own."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from tests.place.random_rigs import random_text, rig_from
from topo.analysis.study import Study
from topo.night.loads import _stretches, loads_of
from topo.night.run import Draw, run_night


@pytest.mark.parametrize("seed", [1, 4])
def test_a_part_of_a_night_is_as_full_as_the_same_part_of_the_whole(seed: int) -> None:
    nights = Study(rig_from(random_text(seed))).nights
    plan, cast = nights.plan, nights.casts["likely"]
    short = plan.__class__(240.0, plan.shooting, plan.guiding, plan.copying)
    night = run_night(short, cast, "last", Draw(seed), trace=True)
    whole = loads_of(night, cast, 0.0, 240.0, 24)
    assert any(max(each.mean) > 0.0 for each in whole)
    for begin, end in ((0, 6), (6, 12), (10, 24)):
        for some, every in zip(loads_of(night, cast, begin * 10.0, end * 10.0, end - begin), whole, strict=True):
            assert some.mean == pytest.approx(every.mean[begin:end], abs=1e-9)
            assert some.peak == pytest.approx(every.peak[begin:end])


@pytest.mark.parametrize(("from_s", "until_s", "wanted"), [
    (0.0, 20.0, [(1.0, 4.0, 5.0), (6.0, 20.0, 2.0)]), (2.0, 3.0, [(2.0, 3.0, 5.0)]), (4.0, 6.0, []),
    (3.0, 7.0, [(3.0, 4.0, 5.0), (6.0, 7.0, 2.0)]), (7.0, 8.0, [(7.0, 8.0, 2.0)]), (0.0, 1.0, []),
])
def test_a_load_is_cut_to_the_span_that_is_shown(
    from_s: float, until_s: float, wanted: list[tuple[float, float, float]],
) -> None:
    night: Any = SimpleNamespace(loads=[(1.0, [("l", 5.0)]), (2.5, [("other", 9.0)]), (4.0, [("l", 0.0)]),
                                        (6.0, [("l", 2.0)])])
    assert list(_stretches(night, "l", from_s, until_s)) == wanted
