"""USB 2.0 5.11.3 in exact fractions, and just where the kernel's integer arithmetic differs from it, for all payloads.

With the kernel's own estimates of the two open delays put in, three things are left between the two:

1. At low and full speed the kernel adds 3.1 bits where 5.11.3 prints floor(3.167 + ...), so it is a tenth of a bit
   time longer: 67.667 ns (low, in), 66.7 ns (low, out), 8.354 ns (full). At high speed it adds 3: no difference.
2. The kernel drops the fraction of a nanosecond.
3. 5.11.3 prints 1.1667 for 7/6. From 626 bytes on the surplus makes floor(...) one bit more for one payload in three.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.model.speed import Speed
from topo.usb.bustime import (
    NO_STUFFING,
    WORST_STUFFING,
    bulk_ceiling_bytes_per_s,
    data_bits,
    full_speed_bulk_bytes_per_s,
    transaction_ns,
)

LARGEST = 3072
TENTH_OF_A_BIT = {
    (Speed.LOW, True): Fraction(67667, 1000),
    (Speed.LOW, False): Fraction(667, 10),
    (Speed.FULL, True): Fraction(8354, 1000),
    (Speed.FULL, False): Fraction(8354, 1000),
    (Speed.HIGH, True): Fraction(0),
    (Speed.HIGH, False): Fraction(0),
}
BIT_NS = {
    (Speed.LOW, True): Fraction(67667, 100),
    (Speed.LOW, False): Fraction(667),
    (Speed.FULL, True): Fraction(8354, 100),
    (Speed.FULL, False): Fraction(8354, 100),
    (Speed.HIGH, True): Fraction(2083, 1000),
    (Speed.HIGH, False): Fraction(2083, 1000),
}
HOST_NS = {Speed.LOW: 1000, Speed.FULL: 1000, Speed.HIGH: 5}
HUB_NS = 333


def fixed_ns(speed: Speed, isochronous: bool, inward: bool) -> int | Fraction:
    """What a transaction takes besides its data and the delays, ns (USB 2.0 5.11.3)."""
    if speed is Speed.LOW:
        return 64_060 if inward else 64_107
    if speed is Speed.FULL:
        return (7268 if inward else 6265) if isochronous else 9107
    return Fraction((38 if isochronous else 55) * 8 * 2083, 1000)


def delays_ns(speed: Speed) -> int:
    return HOST_NS[speed] + (2 * HUB_NS if speed is Speed.LOW else 0)


def kernel_bus_time(speed: Speed, payload: int, isochronous: bool, inward: bool) -> int:
    """The kernel's usb_calc_bus_time (6.12, drivers/usb/core/hcd.c), in its integers, ns."""
    bits = 7 * 8 * payload // 6
    if speed is Speed.HIGH:
        return ((38 if isochronous else 55) * 8 * 2083 + 2083 * (3 + bits)) // 1000 + 5
    hundredths = {(Speed.LOW, True): 67667, (Speed.LOW, False): 66700}.get((speed, inward), 8354)
    return int(fixed_ns(speed, isochronous, inward)) + delays_ns(speed) + hundredths * (31 + 10 * bits) // 1000


def exact_bits(payload: int, stuffing: Fraction) -> int:
    return math.floor(Fraction(3167, 1000) + stuffing * 8 * payload)


CASES = [
    (speed, isochronous, inward)
    for speed in (Speed.LOW, Speed.FULL, Speed.HIGH)
    for isochronous in (False, True)
    for inward in (True, False)
    if not (speed is Speed.LOW and isochronous)
]
MOST = {Speed.LOW: 8, Speed.FULL: 1023, Speed.HIGH: LARGEST}


def test_bits_are_those_of_exact_arithmetic() -> None:
    """floor() of a float sum is what exact decimals give, for every payload."""
    printed = Fraction(11_667, 10_000)
    assert all(data_bits(n) == exact_bits(n, printed) for n in range(LARGEST + 1))
    assert all(data_bits(n, NO_STUFFING) == 3 + 8 * n for n in range(LARGEST + 1))


def test_the_printed_1_1667_adds_a_bit_from_626_bytes_on() -> None:
    longer = [n for n in range(LARGEST + 1) if data_bits(n) != exact_bits(n, Fraction(7, 6))]
    assert longer[:3] == [626, 629, 632]
    assert all(data_bits(n) == exact_bits(n, Fraction(7, 6)) + 1 for n in longer)
    # thirds: 28n/3 leaves 2/3 for n = 3k + 2, 1/3 for 3k + 1; the surplus reaches the latter only past 1,873 bytes
    assert all(n % 3 == 2 or (n % 3 == 1 and n > 1873) for n in longer)
    assert [n for n in range(626, LARGEST + 1) if n % 3 == 2] == [n for n in longer if n % 3 == 2]


@pytest.mark.parametrize(("speed", "isochronous", "inward"), CASES)
def test_what_lies_between_the_kernel_and_the_text(speed: Speed, isochronous: bool, inward: bool) -> None:
    for payload in range(MOST[speed] + 1):
        bits = exact_bits(payload, Fraction(7, 6))
        text = fixed_ns(speed, isochronous, inward) + delays_ns(speed) + BIT_NS[speed, inward] * bits
        difference = kernel_bus_time(speed, payload, isochronous, inward) - text
        expected = TENTH_OF_A_BIT[speed, inward]
        assert expected - 1 < difference <= expected, payload


@pytest.mark.parametrize(("speed", "isochronous", "inward"), CASES)
def test_the_formulas_in_exact_fractions(speed: Speed, isochronous: bool, inward: bool) -> None:
    for payload in range(MOST[speed] + 1):
        exact = fixed_ns(speed, isochronous, inward) + delays_ns(speed) + BIT_NS[speed, inward] * data_bits(payload)
        found = transaction_ns(
            speed,
            payload,
            isochronous=isochronous,
            inward=inward,
            host_delay_ns=HOST_NS[speed],
            hub_setup_ns=HUB_NS,
        )
        assert found == pytest.approx(float(exact), rel=1e-12), payload


@given(st.floats(NO_STUFFING, WORST_STUFFING), st.integers(1, 512))
def test_ceilings_stay_between_none_and_the_worst(stuffing: float, payload: int) -> None:
    worst, found, best = (bulk_ceiling_bytes_per_s(s, payload) for s in (WORST_STUFFING, stuffing, NO_STUFFING))
    assert worst <= found <= best <= 60_000_000


@given(st.floats(NO_STUFFING, WORST_STUFFING), st.integers(0, LARGEST - 1), st.sampled_from(CASES))
def test_longer_with_every_byte(stuffing: float, payload: int, case: tuple[Speed, bool, bool]) -> None:
    speed, isochronous, inward = case
    one, more = (
        transaction_ns(speed, n, isochronous=isochronous, inward=inward, stuffing=stuffing)
        for n in (payload, payload + 1)
    )
    assert more > one


def test_full_speed_bulk_with_and_without_stuffing() -> None:
    """By hand: 9107 + 83.54 x 515 = 52,130 ns, 19 in 1 ms (table 5-9); 9107 + 83.54 x 600 = 59,231 ns, 16 in 1 ms."""
    assert full_speed_bulk_bytes_per_s(NO_STUFFING) == 1_216_000
    assert full_speed_bulk_bytes_per_s(WORST_STUFFING) == 1_024_000


@pytest.mark.parametrize(("payload", "stuffing"), [(-1, 1.0), (8, 0.9), (8, 1.2), (8, math.nan)])
def test_what_cannot_be(payload: int, stuffing: float) -> None:
    with pytest.raises(ValueError, match="not "):
        transaction_ns(Speed.HIGH, payload, stuffing=stuffing)
