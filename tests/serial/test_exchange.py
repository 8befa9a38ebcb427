"""Exchanges and waits on a serial line: worked figures, and a first-come simulation of its own as oracle.

Worked figures: RS-232 framing arithmetic (start, data, parity, stop bits over the rate), the receive timer of 16 ms as
a chip maker's note has it. The simulation below draws each hold at random and knows nothing of the engine.
"""

from __future__ import annotations

import heapq
import math
import random
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.model.facts import Range3
from topo.serial.exchange import back_to_back_s, character_s, command_s, exchange_s
from topo.serial.waits import waits

TIMER = Range3(0.016, 0.016, 0.016)


@pytest.mark.parametrize(
    ("baud", "framing", "ms"),
    [(9600, "8N1", 1.0417), (9600, "8E1", 1.1458), (9600, "8N2", 1.1458), (1200, "8N1", 8.3333),
     (115200, "8N1", 0.0868), (9600, "7O1.5", 10.5 / 9.6)],
)  # fmt: skip
def test_a_character(baud: int, framing: str, ms: float) -> None:
    assert character_s(baud, framing) * 1e3 == pytest.approx(ms, abs=1e-4)


def test_no_rate_no_character() -> None:
    with pytest.raises(ValueError, match="above 0"):
        character_s(0)


@pytest.mark.parametrize(
    ("baud", "timer_ms", "wanted"),
    [(9600, 16, (43, 56, 80)), (115200, 16, (4.5, 17.5, 41.5)), (115200, 1, (4.5, 10, 26.5))],
)
def test_exchange_of_forty_bytes(baud: int, timer_ms: float, wanted: tuple[float, float, float]) -> None:
    timer = Range3(*(timer_ms / 1e3,) * 3)
    found = exchange_s(10, 30, character_s(baud), timer=timer)
    assert [value * 1e3 for value in found] == pytest.approx(wanted, abs=0.7)


def test_long_answers_fill_a_packet_and_wait_for_no_timer() -> None:
    each = character_s(115200)
    with_, without = exchange_s(10, 62, each, timer=TIMER), exchange_s(10, 62, each)
    assert with_ == without and exchange_s(10, 61, each, timer=TIMER).high > exchange_s(10, 61, each).high


def test_back_to_back_locks_to_the_timer() -> None:
    """60 bytes at 9600 and 5 ms of reply are 67.5 ms, locked to 80: 12.5 polls a second at most."""
    assert back_to_back_s(0.0625, 0.005, 0.016) == pytest.approx(0.080)
    assert 1 / back_to_back_s(0.0625, 0.005, 0.016) == pytest.approx(12.5)
    assert back_to_back_s(0.0625, 0.005, 0.0) == pytest.approx(0.0675)


def test_a_command_of_nine_bytes() -> None:
    assert command_s(9, character_s(9600)).likely == pytest.approx(0.0149, abs=2e-4)


def test_media_only_lengthen() -> None:
    plain = exchange_s(10, 30, character_s(9600))
    for over in ("network", "bluetooth"):
        longer = exchange_s(10, 30, character_s(9600), over=over)
        assert all(a > b for a, b in zip(longer, plain, strict=True))


# -- waits ------------------------------------------------------------------------------------------------------------

def simulated(
    clients: list[tuple[float, float]], seed: int, lasts: float, pulse_s: float = 0.3
) -> list[tuple[float, float]]:
    """Waits of pulses, and of the command one pulse later, on a line served first come, first served. Each exchange is
    held at random by up to 16 ms and two frames; `clients` are (period, seconds on the wire with the reply)."""
    dice = random.Random(seed)
    due = [(dice.uniform(0, period), number) for number, (period, _) in enumerate(clients)]
    heapq.heapify(due)
    came, done, free = [], [], 0.0
    while due[0][0] < lasts:
        at, number = heapq.heappop(due)
        period, wire = clients[number]
        free = max(at, free) + wire + dice.uniform(0, 0.016) + dice.uniform(0, 0.001) + dice.uniform(0, 0.001)
        came.append(at)
        done.append(free)
        heapq.heappush(due, (max(at + period, free), number))
    found, at, index, later = [], 1.0, 0, 0
    while at < came[-1] - pulse_s:
        while came[index + 1] <= at:
            index += 1
        while came[later + 1] <= at + pulse_s:
            later += 1
        found.append((max(0.0, done[index] - at), max(0.0, done[later] - at - pulse_s)))
        at += dice.uniform(0.2, 0.9)
    return found


CLIENTS = {
    "one a second of 10 + 30": [(1.0, 10, 30)], "four a second of 20 + 40": [(0.25, 20, 40)],
    "three programs, two a second of 20 + 40": [(0.5, 20, 40)] * 3,
    "two of unlike periods": [(0.3, 10, 20), (1.1, 20, 40)],
}


@pytest.mark.parametrize("name", CLIENTS)
def test_waits_against_a_simulation_over_phases(name: str) -> None:
    """Means over phases within 5 %, no wait past the bound, errors of a pulse's length within 7 %."""
    each = character_s(9600)
    clients = [(period, (out + back) * each + 0.005) for period, out, back in CLIENTS[name]]
    engine = waits(tuple((period, wire + 0.009) for period, wire in clients))
    runs = [simulated(clients, seed, 400.0) for seed in range(60)]
    means = [statistics.fmean(one for one, _ in run) for run in runs]
    assert engine.mean_s == pytest.approx(statistics.fmean(means), rel=0.05)
    bound = sum(wire + 0.018 for _, wire in clients)
    assert max(one for run in runs for one, _ in run) <= bound
    apart = [other - one for run in runs for one, other in run]
    assert engine.error_s == pytest.approx(math.sqrt(statistics.fmean(x * x for x in apart)), rel=0.07)


def test_one_poller_is_the_formula() -> None:
    found = waits(((1.0, 0.0557),))
    assert (found.chance, found.mean_s, found.worst_s) == pytest.approx((0.0557, 0.0557**2 / 2, 0.0557))


@given(st.lists(st.tuples(st.floats(0.02, 5), st.floats(0.001, 2)), min_size=1, max_size=4))
def test_a_full_line_never_catches_up(pollers: list[tuple[float, float]]) -> None:
    found, load = waits(tuple(pollers)), math.fsum(holds / period for period, holds in pollers)
    figures = (found.mean_s, found.worst_s, found.error_s)
    assert all(math.isinf(value) for value in figures) is (load >= 1.0)
    if load < 1.0:
        assert 0 <= found.mean_s <= found.worst_s


def test_the_same_every_time() -> None:
    pollers = ((0.5, 0.07),) * 3
    first = waits(pollers)
    waits.cache_clear()
    assert waits(pollers) == first
