"""Max-min shares: worked by hand, against two independent solvers on random trees, and by properties."""

from __future__ import annotations

import itertools
import math
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from random import Random
from typing import Any

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.flows.certificate import violations
from tests.flows.oracles import rates_by_filling, rates_by_linear_programs, rates_by_maximum_flows
from tests.flows.trees import Tree, trees
from tests.samples import number
from topo.flows.allocate import Allocation, Demand, allocate, groups
from topo.model.traffic import Use

MANY = settings(max_examples=number(1000, 300), deadline=None, derandomize=True)
SOME = settings(max_examples=number(300, 100), deadline=None, derandomize=True)


def demand(name: str, *links: str, cap: float = math.inf, weight: float = 1.0, cost: float = 1.0) -> Demand:
    return Demand(name, cap, weight, tuple(Use(link, cost) for link in links))


def fair(demands: Sequence[Demand], capacities: dict[str, float]) -> Allocation:
    found = allocate(demands, capacities)
    assert violations(demands, capacities, found, 1e-9) == ()
    return found


def same(got: Mapping[str, float], wanted: Mapping[str, float], within: float = 1e-6) -> bool:
    return all(math.isclose(got[name], wanted[name], rel_tol=within, abs_tol=within * 1e-3) for name in wanted)


# -- worked by hand ----------------------------------------------------------------------------------------------------


def test_one_link_four_demands() -> None:
    """An Engineering Approach to Computer Networking (1997), pp. 215-217, first example.

    Capacity 10, demands 2, 2.6, 4, 5. Level 2: the first is served, 10 - 2 = 8 for three. Level 2.6: the second is
    served, 8 - 2.6 = 5.4 for two: 2.7 each.
    """
    found = fair([demand(n, "x", cap=c) for n, c in zip("abcd", (2, 2.6, 4, 5), strict=True)], {"x": 10.0})
    assert found.rates == pytest.approx({"a": 2, "b": 2.6, "c": 2.7, "d": 2.7})
    assert found.bottleneck == {"a": None, "b": None, "c": "x", "d": "x"}
    assert found.load == pytest.approx({"x": 10})


def test_one_link_four_weights() -> None:
    """The same book and pages, second example: capacity 16, demands 4, 2, 10, 4, weights 5, 8, 1, 2 (normalised).

    First round 5, 8, 1, 2: the first two want 4 and 2 only, 7 go on to the others as 7/3 and 14/3. The fourth then
    has 6.67, wants 4: 2.67 go to the third, which ends at 1 + 7/3 + 8/3 = 6.
    """
    wants = zip("abcd", (4, 2, 10, 4), (2.5, 4, 0.5, 1), strict=True)
    found = fair([demand(n, "x", cap=c, weight=w) for n, c, w in wants], {"x": 16.0})
    assert found.rates == pytest.approx({"a": 4, "b": 2, "c": 6, "d": 4})
    assert found.bottleneck["c"] == "x"


def test_five_sessions_over_links_in_a_row() -> None:
    """Data Networks, 2nd ed. 1992, 6.5.2, the example of five sessions (from memory), all capacities 1.

    On the first link sessions 2, 3, 5 stop at 1/3. Session 1 shares the second with 2: 1 - 1/3 = 2/3. Session 4 shares
    the third with 1 at a rate of its own link: that one is free, and it gets 1.
    """
    sessions = [
        demand("1", "second"), demand("2", "first", "second"), demand("3", "first"), demand("4", "third"),
        demand("5", "first"),
    ]
    found = fair(sessions, {"first": 1.0, "second": 1.0, "third": 1.0})
    assert found.rates == pytest.approx({"1": 2 / 3, "2": 1 / 3, "3": 1 / 3, "4": 1.0, "5": 1 / 3})
    assert found.bottleneck == {"1": "second", "2": "first", "3": "first", "4": "third", "5": "first"}


def test_one_long_flow_across_three_links() -> None:
    """The parking lot of the textbooks: a flow over links of 2, 3 and 4 with one more flow on each.

    The first link fills at 1: the long flow has 1, its neighbour there 1; the others get 3 - 1 = 2 and 4 - 1 = 3.
    """
    flows = [demand("long", "a", "b", "c"), demand("on-a", "a"), demand("on-b", "b"), demand("on-c", "c")]
    found = fair(flows, {"a": 2.0, "b": 3.0, "c": 4.0})
    assert found.rates == pytest.approx({"long": 1, "on-a": 1, "on-b": 2, "on-c": 3})


def test_two_cameras_on_one_bus_and_a_slow_reader() -> None:
    """One bus at 1 s/s where a byte costs 1/40e6 s (40 MB/s): a serial line takes 1,000 bytes/s and is served.

    Its packets are small, a byte costs 1/1e6 s: 0.001 s/s. 0.999 s/s are left: the guide camera has its 10 MB/s
    (0.25 s/s), the imaging camera 0.749 s/s = 29.96 MB/s.
    """
    flows = [
        demand("imaging", "bus", cost=1 / 40e6, weight=512),
        demand("guiding", "bus", cap=10e6, cost=1 / 40e6, weight=512),
        demand("mount", "bus", cap=1000.0, cost=1e-6, weight=64),
    ]
    found = fair(flows, {"bus": 1.0})
    assert found.rates == pytest.approx({"imaging": 29.96e6, "guiding": 10e6, "mount": 1000.0})
    assert found.bottleneck == {"imaging": "bus", "guiding": None, "mount": None}


def test_costs_share_bytes_not_time() -> None:
    """Equal weights mean equal payload: costs 1 and 3 on capacity 8 give level 8 / (1 + 3) = 2 to each."""
    found = fair([demand("a", "x"), demand("b", "x", cost=3.0)], {"x": 8.0})
    assert found.rates == pytest.approx({"a": 2, "b": 2})


# -- corners -----------------------------------------------------------------------------------------------------------


def test_uses_of_one_resource_add_up() -> None:
    twice = Demand("a", math.inf, 1.0, (Use("x", 1.0), Use("x", 2.0)))
    found = fair([twice, demand("b", "x")], {"x": 8.0})  # level 8 / (1 + 2 + 1)
    assert found.rates == pytest.approx({"a": 2, "b": 2})
    assert found.load == pytest.approx({"x": 8})


def test_a_flow_without_uses_gets_its_cap() -> None:
    assert fair([demand("a", cap=5.0), demand("b", "x", cost=0.0, cap=7.0)], {"x": 0.0}).rates == {"a": 5.0, "b": 7.0}


def test_no_capacity_means_no_rate() -> None:
    found = fair([demand("a", "x", "y"), demand("b", "y"), demand("c", "x", cap=0.0)], {"x": 0.0, "y": 3.0, "z": 1.0})
    assert found.rates == {"a": 0.0, "b": 3.0, "c": 0.0}
    assert found.bottleneck == {"a": "x", "b": "y", "c": None}
    assert list(found.load) == ["x", "y", "z"]


def test_nothing_asked() -> None:
    assert fair([], {"x": 1.0}) == Allocation({}, {}, {"x": 0.0})


def test_a_cap_that_just_fits_counts_as_the_cap() -> None:
    found = fair([demand("a", "x", cap=1.0), demand("b", "x", cap=1.0), demand("c", "x")], {"x": 3.0})
    assert found.bottleneck == {"a": None, "b": None, "c": "x"}


def test_of_resources_that_fill_together_the_first_one_named_counts() -> None:
    assert fair([demand("a", "x", "y")], {"y": 1.0, "x": 1.0}).bottleneck == {"a": "x"}
    assert fair([demand("a", "y", "x")], {"y": 1.0, "x": 1.0}).bottleneck == {"a": "y"}


@pytest.mark.parametrize("scale", [1e-60, 1e-20, 1e-3, 1e9, 1e60])
def test_large_and_tiny_numbers(scale: float) -> None:
    """Weights over 24 orders of magnitude: what is left of a pull by subtraction would be rounding alone."""
    weights = [1e12, 1.0, 1e-12]
    flows = [demand(f"f{i}", "x", "big" if i == 0 else "x2", weight=w) for i, w in enumerate(weights)]
    found = fair(flows, {"x": math.inf, "big": scale, "x2": 2 * scale})
    wanted = {"f0": scale, "f1": 2 * scale / (1 + 1e-12), "f2": 2e-12 * scale / (1 + 1e-12)}
    assert found.rates == pytest.approx(wanted, rel=1e-12, abs=0.0)
    # All three on one resource; the heavy ones have caps of a half and a quarter of it, the light one has the rest.
    caps = [scale / 2, scale / 4, math.inf]
    flows = [demand(f"f{i}", "x", weight=w, cap=c) for i, (w, c) in enumerate(zip(weights, caps, strict=True))]
    found = fair(flows, {"x": scale})
    assert found.rates == pytest.approx({"f0": scale / 2, "f1": scale / 4, "f2": scale / 4}, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("wrong", "capacities", "words"), [
    ([demand("a", cap=math.inf)], {}, "flow 'a' has no cap, and no resource limits it"),
    ([demand("a", "x")], {"x": math.inf}, "flow 'a' has no cap, and no resource limits it"),
    ([demand("a", "x", cap=-1.0)], {"x": 1.0}, "cap of flow 'a' .* not -1.0"),
    ([demand("a", "x", cap=math.nan)], {"x": 1.0}, "cap of flow 'a' .* not nan"),
    ([demand("a", "x", weight=0.0)], {"x": 1.0}, "weight of flow 'a' must be above 0"),
    ([demand("a", "x", weight=math.inf)], {"x": 1.0}, "weight of flow 'a'"),
    ([demand("a", "x", weight=math.nan)], {"x": 1.0}, "weight of flow 'a'"),
    ([demand("a", "x"), demand("a", "x")], {"x": 1.0}, "flow 'a' is given twice"),
    ([demand("a", "y")], {"x": 1.0}, "flow 'a' uses 'y', which has no capacity"),
    ([demand("a", "x")], {"x": -1.0}, "capacity of 'x' .* not -1.0"),
    ([demand("a", "x")], {"x": math.nan}, "capacity of 'x' .* not nan"),
    ([demand("a", "x", cost=-1.0)], {"x": 1.0}, "flow 'a': -1.0 s/byte .* out of range"),
    ([demand("a", "x", cost=math.nan)], {"x": 1.0}, "out of range"),
    ([demand("a", "x", cost=math.inf)], {"x": 1.0}, "out of range"),
    ([demand("a", "x", cost=1e-150, weight=1e-150)], {"x": 1.0}, "out of range"),
])
def test_what_is_refused(wrong: list[Demand], capacities: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        allocate(wrong, capacities)


# -- against independent solvers ---------------------------------------------------------------------------------------


@MANY
@given(trees())
def test_like_iterated_linear_programs(tree: Tree) -> None:
    found = allocate(tree.demands, tree.capacities)
    assert violations(tree.demands, tree.capacities, found, 1e-9) == ()
    assert same(found.rates, rates_by_linear_programs(tree.demands, tree.capacities))


@MANY
@given(trees(plain=True, flows=6, links=4))
def test_like_maximum_flows(tree: Tree) -> None:
    found = allocate(tree.demands, tree.capacities)
    assert violations(tree.demands, tree.capacities, found, 1e-9) == ()
    exact = rates_by_maximum_flows(tree.demands, tree.parents, tree.capacities)
    assert same(found.rates, {name: float(rate) for name, rate in exact.items()}, 1e-9)


@MANY
@given(trees(flows=12, links=8))
def test_like_exact_filling_on_larger_trees(tree: Tree) -> None:
    found = allocate(tree.demands, tree.capacities)
    assert violations(tree.demands, tree.capacities, found, 1e-9) == ()
    exact = rates_by_filling(tree.demands, tree.capacities)
    assert same(found.rates, {name: float(rate) for name, rate in exact.items()}, 1e-9)


# -- properties --------------------------------------------------------------------------------------------------------


@SOME
@given(trees(), st.data())
def test_more_capacity_never_lowers_the_lowest_rate(tree: Tree, data: st.DataObject) -> None:
    link = data.draw(st.sampled_from(list(tree.capacities)))
    more = {**tree.capacities, link: tree.capacities[link] + data.draw(st.floats(0.0, 4.0))}

    def lowest(capacities: dict[str, float]) -> float:
        rates = allocate(tree.demands, capacities).rates
        return min(rates[demand.id] / demand.weight for demand in tree.demands)

    assert lowest(more) >= lowest(tree.capacities) * (1 - 1e-12)


@SOME
@given(trees(), st.integers(-40, 40), st.integers(-40, 40), st.integers(-40, 40))
def test_units_do_not_matter(tree: Tree, bytes_by: int, time_by: int, weights_by: int) -> None:
    """Rates scale with the unit of bytes; units of bus time and of weight cancel. Powers of two: to the last bit."""
    b, t, w = 2.0**bytes_by, 2.0**time_by, 2.0**weights_by
    scaled = [
        Demand(d.id, d.cap * b, d.weight * w, tuple(Use(u.resource, u.seconds_per_byte * t / b) for u in d.uses))
        for d in tree.demands
    ]
    one, other = allocate(tree.demands, tree.capacities), allocate(
        scaled, {name: capacity * t for name, capacity in tree.capacities.items()})
    assert {name: rate * b for name, rate in one.rates.items()} == other.rates
    assert one.bottleneck == other.bottleneck


@SOME
@given(trees(), st.randoms(use_true_random=False))
def test_order_of_input_changes_nothing_but_ties(tree: Tree, random: Random) -> None:
    demands, capacities = list(tree.demands), list(tree.capacities.items())
    random.shuffle(demands)
    random.shuffle(capacities)
    one, other = allocate(tree.demands, tree.capacities), allocate(demands, dict(capacities))
    assert same(one.rates, other.rates, 1e-12)
    assert list(other.rates) == [d.id for d in demands]
    assert list(other.load) == [name for name, _ in capacities]
    assert violations(demands, dict(capacities), other, 1e-9) == ()


@settings(max_examples=number(150, 3000))
@given(trees(flows=12, links=9))
def test_groups_are_what_links_that_can_fill_join(tree: Tree) -> None:
    """networkx's components of flows and links that all of them at full rate would overload; shared alone they get
    what they get together."""
    asked = {name: math.fsum(demand.cap * use.seconds_per_byte for demand in tree.demands for use in demand.uses
                             if use.resource == name) for name in tree.capacities}
    graph = networkx.Graph()
    graph.add_nodes_from(demand.id for demand in tree.demands)
    graph.add_edges_from(
        (demand.id, ("link", use.resource)) for demand in tree.demands for use in demand.uses
        if asked[use.resource] > tree.capacities[use.resource] * (1 + 1e-12)
    )
    found = [[tree.demands[index] for index in group] for group in groups(tree.demands, tree.capacities)]
    parts = networkx.connected_components(graph)
    wanted = {frozenset(name for name in part if isinstance(name, str)) for part in parts}
    if all(abs(asked[name] - size) > 1e-9 * size for name, size in tree.capacities.items()):
        assert {frozenset(demand.id for demand in group) for group in found} == wanted
    together = allocate(tree.demands, tree.capacities).rates
    for group in found:
        assert same(allocate(group, tree.capacities).rates, {demand.id: together[demand.id] for demand in group})


def test_the_order_of_hashes_does_not_matter() -> None:
    program = (
        "from topo.flows.allocate import *; from topo.model.traffic import Use;"
        "print(allocate([Demand(f'f{i}', 3.0 + i, 1.0 + i % 3, tuple(Use(f'l{j}', 0.1 * j + i) for j in range(1, 4)))"
        " for i in range(9)], {f'l{j}': 9.0 for j in range(1, 4)}))"
    )
    answers = {
        subprocess.run([sys.executable, "-c", program], env={**os.environ, "PYTHONHASHSEED": seed},
                       capture_output=True, check=True, text=True).stdout
        for seed in ("0", "1", "77")
    }
    assert len(answers) == 1


# -- the certificate can fail ------------------------------------------------------------------------------------------

FLOWS = [demand("a", "x", cap=1.0), demand("b", "x"), demand("c", "x", "y")]
CAPACITIES = {"x": 7.0, "y": 9.0}
RIGHT = Allocation({"a": 1.0, "b": 3.0, "c": 3.0}, {"a": None, "b": "x", "c": "x"}, {"x": 7.0, "y": 3.0})


def test_the_certificate_takes_the_right_answer() -> None:
    assert violations(FLOWS, CAPACITIES, RIGHT, 1e-9) == ()
    assert allocate(FLOWS, CAPACITIES) == RIGHT


@pytest.mark.parametrize(("change", "words"), [
    ({"rates": {"a": 1.0, "b": 3.0}}, "flows of the allocation"),
    ({"rates": {"a": 1.0, "b": 2.5, "c": 3.5}, "load": {"x": 7.0, "y": 3.5}}, "flow 'b' gets 2.5"),
    ({"rates": {"a": 1.0, "b": 2.9, "c": 2.9}, "load": {"x": 6.8, "y": 2.9}}, "no full resource"),
    ({"rates": {"a": 1.0, "b": 3.5, "c": 3.5}, "load": {"x": 8.0, "y": 3.5}}, "above its capacity"),
    ({"rates": {"a": 2.0, "b": 2.5, "c": 2.5}, "load": {"x": 7.0, "y": 2.5}}, "with a cap of 1.0"),
    ({"rates": {"a": -1.0, "b": 4.0, "c": 4.0}, "load": {"x": 7.0, "y": 4.0}}, "flow 'a' gets -1.0"),
    ({"load": {"x": 6.0, "y": 3.0}}, "as stated"),
    ({"bottleneck": {"a": None, "b": "x", "c": "y"}}, "not held back by 'y'"),
    ({"bottleneck": {"a": None, "b": None, "c": "x"}}, "no bottleneck is named"),
])
def test_the_certificate_finds_what_is_wrong(change: dict[str, Any], words: str) -> None:
    assert any(words in text for text in violations(FLOWS, CAPACITIES, replace(RIGHT, **change), 1e-9))


def test_the_certificate_knows_weights() -> None:
    """Every split of a full link but the weighted one is refused."""
    flows = [demand("a", "x", weight=1.0), demand("b", "x", weight=2.0)]
    for a, b in itertools.pairwise([0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]):
        guess = Allocation({"a": a, "b": 6.0 - a}, {"a": "x", "b": "x"}, {"x": 6.0})
        assert (violations(flows, {"x": 6.0}, guess, 1e-9) == ()) is (a == 2.0), b
