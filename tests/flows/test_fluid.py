"""Bursts in time: worked by hand, against closed forms for one bus, and against an exact simulation on random trees."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.flows.oracles import finish_times_by_filling
from tests.flows.trees import Tree, trees
from tests.samples import number
from topo.flows import fluid
from topo.flows.allocate import Allocation, Demand, allocate
from topo.flows.fluid import Burst, finish_times
from topo.model.traffic import Use

SETTINGS = settings(max_examples=number(300, 100), deadline=None, derandomize=True)
RATE = st.floats(0.5, 60.0)
SIZE = st.floats(0.1, 130.0)


def burst(name: str, size: float, start: float = 0.0, cap: float = math.inf, weight: float = 1.0,
          links: tuple[str, ...] = ("bus",)) -> Burst:
    return Burst(Demand(name, cap, weight, tuple(Use(link, 1.0) for link in links)), size, start)


# -- worked by hand ----------------------------------------------------------------------------------------------------


def test_a_guide_frame_meets_a_download() -> None:
    """Bus 40 MB/s, guide frame 2.4 MB, picture 52 MB, neither capped: 20 each until 2.4 / 20 = 0.12 s.

    The picture then has 52 - 2.4 = 49.6 MB left at 40: 1.24 s more, 1.36 s.
    """
    took = finish_times([burst("guide", 2.4), burst("picture", 52.0)], [], {"bus": 40.0})
    assert took == pytest.approx({"guide": 0.12, "picture": 1.36})
    assert list(took) == ["guide", "picture"]


def test_one_starts_while_the_other_runs() -> None:
    """Bus 10. A: 30 from 0 s. B: 10 from 1 s. A moves 10 alone, then 5 and 5: B ends after 2 s, at 3 s.

    A has 30 - 10 - 10 = 10 left at 3 s, alone at 10: ends at 4 s. C starts at 10 s and meets nobody: 0.5 s.
    """
    took = finish_times([burst("a", 30.0), burst("b", 10.0, start=1.0), burst("c", 5.0, start=10.0)], [], {"bus": 10.0})
    assert took == pytest.approx({"a": 4.0, "b": 2.0, "c": 0.5})


def test_steady_flows_take_their_share_all_the_time() -> None:
    """Bus 10, a stream asks for 4 and gets it; the burst has 6: 12 / 6 = 2 s. An uncapped stream takes half: 12 / 5."""
    stream = Demand("stream", 4.0, 1.0, (Use("bus", 1.0),))
    assert finish_times([burst("a", 12.0)], [stream], {"bus": 10.0}) == pytest.approx({"a": 2.0})
    greedy = Demand("stream", math.inf, 1.0, (Use("bus", 1.0),))
    assert finish_times([burst("a", 12.0)], [greedy], {"bus": 10.0}) == pytest.approx({"a": 2.4})


def test_weights() -> None:
    """Bus 9, weights 2 and 1: 6 and 3. A: 12 ends at 2 s; B has 12 - 6 = 6 left at 9: 2.667 s."""
    took = finish_times([burst("a", 12.0, weight=2.0), burst("b", 12.0)], [], {"bus": 9.0})
    assert took == pytest.approx({"a": 2.0, "b": 2 + 2 / 3})


def test_an_end_on_one_link_speeds_up_a_flow_on_another() -> None:
    """A on x (2), B on x and y, C on y (5). First A 1, B 1, C 4. A: 1 ends at 1 s. Then x gives B 2, but y's half is
    2.5, so B has 2 and C 3. B: 4 has 3 left, ends at 2.5 s. C: 12 has 8 at 1 s, 3.5 at 2.5 s, then 5: ends at 3.2 s.
    """
    took = finish_times(
        [burst("a", 1.0, links=("x",)), burst("b", 4.0, links=("x", "y")), burst("c", 12.0, links=("y",))], [],
        {"x": 2.0, "y": 5.0},
    )
    assert took == pytest.approx({"a": 1.0, "b": 2.5, "c": 3.2})


# -- corners -----------------------------------------------------------------------------------------------------------


def test_nothing_moves_without_capacity() -> None:
    took = finish_times(
        [burst("a", 1.0, links=("x",)), burst("b", 2.0), burst("c", 1.0, cap=0.0), burst("d", 0.0, links=("x",)),
         burst("late", 1.0, start=5.0, links=("x",))],
        [], {"bus": 2.0, "x": 0.0},
    )
    assert took == {"a": math.inf, "b": 1.0, "c": math.inf, "d": 0.0, "late": math.inf}


def test_one_that_never_ends_does_not_hold_up_one_that_comes_later() -> None:
    took = finish_times([burst("stuck", 1.0, cap=0.0), burst("late", 4.0, start=7.0)], [], {"bus": 2.0})
    assert took == {"stuck": math.inf, "late": 2.0}


def test_no_bursts() -> None:
    assert finish_times([], [Demand("s", 1.0, 1.0, ())], {}) == {}


def test_equal_bursts_end_together() -> None:
    took = finish_times([burst(f"b{i}", 0.7, cap=0.3) for i in range(7)], [], {"bus": 1.1})
    assert len(set(took.values())) == 1
    assert took["b0"] == pytest.approx(7 * 0.7 / 1.1)


@pytest.mark.parametrize(("bursts", "words"), [
    ([burst("a", -1.0)], "burst 'a' needs finite bytes"),
    ([burst("a", math.inf)], "burst 'a' needs finite bytes"),
    ([burst("a", math.nan)], "burst 'a' needs finite bytes"),
    ([burst("a", 1.0, start=math.nan)], "finite start"),
    ([burst("a", 1.0), burst("a", 2.0, start=9.0)], "flow 'a' is given twice"),
    ([burst("a", 1.0, links=())], "nothing|no cap"),
    ([burst("a", 1.0, links=("nowhere",))], "no capacity given"),
])
def test_what_is_refused(bursts: list[Burst], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        finish_times(bursts, [], {"bus": 1.0})


def test_rates_are_computed_once_for_each_set_that_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """A long burst met by ten short ones, one after the other: alone, and with each. Ten ends bring nothing new."""
    calls: list[int] = []

    def counted(demands: Sequence[Demand], capacities: Mapping[str, float]) -> Allocation:
        calls.append(len(demands))
        return allocate(demands, capacities)

    monkeypatch.setattr(fluid, "allocate", counted)
    finish_times(
        [burst("long", 100.0), *(burst(f"s{i}", 0.1, start=2.0 + i) for i in range(10))], [], {"bus": 1.0}
    )
    assert len(calls) == 11, calls  # "long" alone, and with each of ten


# -- closed forms for one bus ------------------------------------------------------------------------------------------


@SETTINGS
@given(SIZE, SIZE, RATE, RATE, RATE, st.floats(-3.0, 3.0))
def test_delay_by_one_other_flow(f_g: float, f_i: float, r_g: float, r_i: float, bus: float, later: float) -> None:
    """Two capped flows that start together: min(Fg/ag, Fi/ai) (1 - ag / min(rg, C)) of delay; 0 if both caps fit.

    While both run the guide frame moves at ag instead of min(rg, C); they run together until the first is done.
    Any other start of the second flow delays the first no more.
    """
    a_g, a_i = min(r_g, max(bus / 2, bus - r_i)), min(r_i, max(bus / 2, bus - r_g))
    wanted = 0.0 if r_g + r_i <= bus else min(f_g / a_g, f_i / a_i) * (1 - a_g / min(r_g, bus))
    alone = f_g / min(r_g, bus)
    took = finish_times([burst("g", f_g, cap=r_g), burst("i", f_i, cap=r_i)], [], {"bus": bus})
    assert took["g"] - alone == pytest.approx(wanted, rel=1e-9, abs=1e-9)
    apart = finish_times([burst("g", f_g, cap=r_g), burst("i", f_i, start=later, cap=r_i)], [], {"bus": bus})
    assert apart["g"] - alone <= wanted + 1e-9


@SETTINGS
@given(st.lists(SIZE, min_size=1, max_size=8), RATE)
def test_several_uncapped_flows(sizes: list[float], bus: float) -> None:
    """Equal sharing of one bus: each burst ends after the sum over j of min(Fj, Fg) / C, its own bytes included."""
    took = finish_times([burst(f"b{i}", size) for i, size in enumerate(sizes)], [], {"bus": bus})
    for i, own in enumerate(sizes):
        assert took[f"b{i}"] == pytest.approx(sum(min(own, other) for other in sizes) / bus, rel=1e-9)


@SETTINGS
@given(st.lists(st.tuples(SIZE, st.floats(0.0, 9.0), st.floats(0.25, 4.0)), min_size=1, max_size=8), RATE)
def test_a_busy_bus_wastes_nothing(work: list[tuple[float, float, float]], bus: float) -> None:
    """Uncapped flows, any weights: the last end is that of serving them one after the other as they come."""
    bursts = [burst(f"b{i}", size, start, weight=weight) for i, (size, start, weight) in enumerate(work)]
    took = finish_times(bursts, [], {"bus": bus})
    end = 0.0
    for size, start, _ in sorted(work, key=lambda item: item[1]):
        end = max(end, start) + size / bus
    assert max(b.start_s + took[b.demand.id] for b in bursts) == pytest.approx(end, rel=1e-9)


# -- against an exact simulation ---------------------------------------------------------------------------------------


@SETTINGS
@given(trees(flows=6, links=5), st.data())
def test_like_an_exact_simulation(tree: Tree, data: st.DataObject) -> None:
    """Random trees, starts and sizes, some flows steady: fractions, no groups, no memory, against floats."""
    steady = tree.demands[:data.draw(st.integers(0, len(tree.demands) - 1))]
    moving = tree.demands[len(steady):]
    bursts = [
        Burst(demand, float(data.draw(st.integers(0, 20))), data.draw(st.integers(0, 8)) / 4.0) for demand in moving
    ]
    took = finish_times(bursts, steady, tree.capacities)
    assert took == pytest.approx(finish_times_by_filling(bursts, steady, tree.capacities), rel=1e-9, abs=1e-9)


@SETTINGS
@given(trees(flows=6, links=5), st.randoms(use_true_random=False))
def test_order_of_input_changes_nothing(tree: Tree, random: Random) -> None:
    bursts = [Burst(demand, 1.0 + number, number % 3) for number, demand in enumerate(tree.demands)]
    shuffled = list(bursts)
    random.shuffle(shuffled)
    one, other = finish_times(bursts, [], tree.capacities), finish_times(shuffled, [], tree.capacities)
    assert one == pytest.approx(other, rel=1e-9)
    assert list(other) == [b.demand.id for b in shuffled]
