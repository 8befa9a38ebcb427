"""The shares computed for each example are max-min fair, by their certificate, at all three ends of what is uncertain.

The certificate is the definition itself (Bertsekas and Gallager, Data Networks, 2nd ed. 1992, 6.5.2; from memory), and
knows nothing of how the shares were computed. All flows at once, stills alone, steady flows alone, and every pair.
"""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest

from tests.flows.certificate import violations
from topo.analysis.levels import LEVELS, Level, demand_of
from topo.analysis.study import Study
from topo.flows.allocate import allocate
from topo.model.traffic import Flow
from topo.pipeline import study_file

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted(path.parent for path in (ROOT / "examples").glob("*/rig.yaml"))


def sets_of(study: Study) -> tuple[tuple[Flow, ...], ...]:
    flows = study.traffic.flows
    return (flows, tuple(f for f in flows if f.is_burst), tuple(f for f in flows if not f.is_burst),
            *combinations(flows, 2))  # fmt: skip


def wrong(level: Level, flows: tuple[Flow, ...], tolerance: float = 1e-9) -> tuple[str, ...]:
    demands = tuple(demand_of(flow) for flow in flows)
    return violations(demands, level.capacities, allocate(demands, level.capacities), tolerance)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.name)
def test_every_allocation_of_an_example_is_max_min_fair(example: Path) -> None:
    study = study_file(example / "rig.yaml")
    assert tuple(level.name for level in study.levels) == LEVELS
    assert study.traffic.flows
    for level in study.levels:
        for flows in sets_of(study):
            assert wrong(level, flows) == (), (level.name, [flow.device for flow in flows])


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.name)
def test_shares_grow_with_what_links_carry(example: Path) -> None:
    """The ends are in order: what all get together at the low end is not more than at the high end."""
    study = study_file(example / "rig.yaml")
    demands = tuple(demand_of(flow) for flow in study.traffic.flows)
    totals = [sum(allocate(demands, level.capacities).rates.values()) for level in study.levels]
    assert totals == sorted(totals)


def test_the_certificate_refuses_an_allocation_of_an_example_that_is_not_fair() -> None:
    study = study_file(ROOT / "examples" / "small-board" / "rig.yaml")
    level = study.levels[1]
    demands = tuple(demand_of(flow) for flow in study.traffic.flows)
    fair = allocate(demands, level.capacities)
    for demand in demands:
        less = type(fair)({**fair.rates, demand.id: fair.rates[demand.id] * 0.9}, fair.bottleneck, fair.load)
        assert violations(demands, level.capacities, less)
