"""The solver against a second one, against power kept, and at the fold of a load that keeps its watts."""

from __future__ import annotations

import math
import random

import pytest

from tests.power.nodal import by_nodes, laplacian_of, random_tree, residual
from topo.power.solve import Joint, share_that_can_be_fed, solved

SOURCES = (5.0, 11.4, 12.0, 13.2, 19.0)


@pytest.mark.parametrize("chunk", range(10))
def test_500_random_trees_against_a_nodal_solver(chunk: int) -> None:
    """Volts within 1 mV; where this solver says that nothing can be fed, scipy finds nothing from any start."""
    fed = 0
    for seed in range(50 * chunk, 50 * chunk + 50):
        rng = random.Random(seed)
        tree, source = random_tree(rng), rng.choice(SOURCES)
        found, other = solved(source, tree), by_nodes(source, tree)
        if found is None:
            assert other is None, seed
            continue
        fed += 1
        assert other is not None, seed
        # scipy may land on a lower branch than the highest: then it is lower everywhere that matters, and no more.
        if max(abs(a - b) for a, b in zip(found.volts, other, strict=True)) > 1e-3:
            assert all(b <= a + 1e-3 for a, b in zip(found.volts, other, strict=True)), seed
            again = residual(found.volts[1:], source, tree, laplacian_of(tree))
            assert abs(again).max() < 1e-8, seed
    assert fed >= 25


@pytest.mark.parametrize("chunk", range(10))
def test_power_is_kept(chunk: int) -> None:
    """What the source gives is what the loads take and what the copper burns (Tellegen), to 1e-9."""
    for seed in range(50 * chunk, 50 * chunk + 50):
        rng = random.Random(10_000 + seed)
        tree, source = random_tree(rng), rng.choice(SOURCES)
        found = solved(source, tree)
        if found is None:
            continue
        taken = [v * (j.amps + j.siemens * v) + j.watts for j, v in zip(tree, found.volts, strict=True)]
        burnt = [i * i * j.ohm for j, i in zip(tree, found.amps, strict=True)]
        given = source * found.amps[0]
        assert math.fsum((*taken, *burnt)) == pytest.approx(given, rel=1e-9, abs=1e-12), seed


@pytest.mark.parametrize("source", SOURCES)
@pytest.mark.parametrize("ohm", [0.01, 0.2, 3.0])
@pytest.mark.parametrize("share", [0.01, 0.5, 0.9, 0.999, 1 - 1e-6, 1 - 1e-9])
def test_below_the_fold_the_closed_form_holds(source: float, ohm: float, share: float) -> None:
    """V = (Vs + sqrt(Vs^2 - 4 R P)) / 2, up to P = Vs^2 / 4R."""
    watts = share * source * source / (4 * ohm)
    found = solved(source, [Joint(-1), Joint(0, ohm, watts=watts)])
    assert found is not None
    exact = (source + math.sqrt(source * source - 4 * ohm * watts)) / 2
    assert found.volts[1] == pytest.approx(exact, rel=1e-8 if share > 1 - 1e-5 else 1e-12)


@pytest.mark.parametrize("source", SOURCES)
@pytest.mark.parametrize("ohm", [0.01, 0.2, 3.0])
@pytest.mark.parametrize("share", [1 + 1e-9, 1 + 1e-6, 1.01, 2.0, 100.0])
def test_above_the_fold_nothing_is_fed(source: float, ohm: float, share: float) -> None:
    tree = [Joint(-1), Joint(0, ohm, watts=share * source * source / (4 * ohm))]
    assert solved(source, tree) is None
    assert share_that_can_be_fed(source, tree) == pytest.approx(1 / share, abs=1e-3)


def test_the_published_constant_power_case() -> None:
    """36 W behind 0.2 ohm from 12 V: 11.367 V, not the 11.4 V of a fixed 3 A; 180 W is the most."""
    found = solved(12, [Joint(-1), Joint(0, 0.2, watts=36)])
    assert found is not None and found.volts[1] == pytest.approx(11.367, abs=1e-3)
    straight = solved(12, [Joint(-1), Joint(0, 0.2, amps=3)])
    assert straight is not None and straight.volts[1] == pytest.approx(11.4, abs=1e-12)
    assert solved(12, [Joint(-1), Joint(0, 0.2, watts=200)]) is None


def test_currents_too_large_for_the_wire_leave_no_volts() -> None:
    assert solved(12, [Joint(-1), Joint(0, 1.0, amps=12)]) is None
    assert solved(12, [Joint(-1), Joint(0, 0.0, amps=1000)]) is not None  # no ohms, no drop


def test_a_deep_chain_is_no_trouble() -> None:
    chain = [Joint(-1), *(Joint(index, 1e-4, watts=0.01) for index in range(2000))]
    assert solved(12, chain) is not None
