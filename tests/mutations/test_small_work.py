"""How much planning asks of its checks in the small rigs: short ways that are taken no more show here and nowhere else.

`small/asked.txt` holds, for each rig, how often checks were run for the advice of `check` and for the plans of
`rewire`, and the work that was counted for it (`topo/place/remembered.py`). Three in a hundred more fail. Less is
welcome: TOPO_UPDATE writes it anew, as it does where more is worth it; say in the commit why.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any, TypeVar

import pytest

from tests.mutations.small_rigs import NAMES, SMALL
from tests.place.random_rigs import EXAMINER, rig_from
from topo.analysis.study import Study
from topo.frozen import replace
from topo.model.finding import in_order
from topo.place.first import advised
from topo.place.frontier import frontier
from topo.place.judge import Judge

HELD = SMALL / "asked.txt"
MORE = 1.03
R = TypeVar("R")


class Asked:
    """Every check that ships, and how often any was run."""

    def __init__(self) -> None:
        self.times = 0
        self.examiner = replace(
            EXAMINER,
            named={name: self._counted(run) for name, run in EXAMINER.named.items()},
            still={name: self._counted(run) for name, run in EXAMINER.still.items()},
            glimpses={name: self._counted(run) for name, run in EXAMINER.glimpses.items()},
        )

    def _counted(self, run: Callable[..., R]) -> Callable[..., R]:
        def counted(*asked: Any) -> R:
            self.times += 1
            return run(*asked)

        return counted


def asked(name: str) -> tuple[int, int, int, int]:
    """Times that checks were run and work, for advice and for plans."""
    study = Study(rig_from((SMALL / f"{name}.yaml").read_text(encoding="utf-8")))
    findings = in_order(EXAMINER(study))
    once, again = Asked(), Asked()
    one, other = (Judge(study, findings, each.examiner) for each in (once, again))
    advised(one)
    frontier(study, findings, again.examiner, most_moves=2, judge=other)
    return once.times, round(one.kept.work), again.times, round(other.kept.work)


def test_no_more_is_written_than_there_are_rigs() -> None:
    if os.environ.get("TOPO_UPDATE"):
        HELD.write_text("".join(f"{name} {' '.join(map(str, asked(name)))}\n" for name in NAMES), encoding="utf-8")
    assert [line.split()[0] for line in HELD.read_text(encoding="utf-8").splitlines()] == list(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_no_more_is_asked_than_it_takes(name: str) -> None:
    [held] = [line for line in HELD.read_text(encoding="utf-8").splitlines() if line.split()[0] == name]
    for now, before in zip(asked(name), map(int, held.split()[1:]), strict=True):
        assert now <= before * MORE, (name, asked(name), held)
