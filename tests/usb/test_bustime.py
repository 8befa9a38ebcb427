"""Bus times of USB 2.0 5.11.3, against worked values and against the kernel's own arithmetic.

The kernel's `usb_calc_bus_time` is written out here as an independent oracle (Linux 6.12, drivers/usb/core/hcd.c and
include/linux/usb/hcd.h). It differs from the printed formulas on purpose: it estimates what the text leaves open
(1,000 ns for the host, 333 ns for a hub's switch, 5 ns at high speed), rounds in integers, and adds 3.1 bits at low
and full speed where 5.11.3 prints floor(3.167 + ...).
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.model.speed import Speed
from topo.usb.bustime import NO_STUFFING, WORST_STUFFING, bulk_ceiling_bytes_per_s, transaction_ns

HOST_DELAY, HUB_SETUP, HIGH_HOST_DELAY = 1000, 333, 5


def kernel_ns(speed: Speed, payload: int, isochronous: bool, inward: bool) -> int:
    """usb_calc_bus_time, with its integer truncations."""
    bits = 7 * 8 * payload // 6
    if speed is Speed.LOW:
        base, bit = (64060, 67667) if inward else (64107, 66700)
        return base + 2 * HUB_SETUP + HOST_DELAY + bit * (31 + 10 * bits) // 1000
    if speed is Speed.FULL:
        time = 8354 * (31 + 10 * bits) // 1000
        return ((7268 if inward else 6265) if isochronous else 9107) + HOST_DELAY + time
    return ((38 if isochronous else 55) * 8 * 2083 + 2083 * (3 + bits)) // 1000 + HIGH_HOST_DELAY


# Speed, payload, isochronous, inward, ns by the kernel, ns by the specification with both delays 0.
WORKED = [
    (Speed.LOW, 8, False, True, 117_897, 116_163.59),
    (Speed.LOW, 8, False, False, 117_198, 115_466.00),
    (Speed.FULL, 8, False, True, 16_547, 15_539.58),
    (Speed.FULL, 64, False, True, 60_239, 59_231.00),
    (Speed.FULL, 1023, True, True, 806_166, 805_158.54),
    (Speed.FULL, 192, True, False, 157_227, 156_219.30),
    (Speed.HIGH, 0, False, True, 927, 922.77),
    (Speed.HIGH, 8, False, True, 1_081, 1_076.91),
    (Speed.HIGH, 512, False, True, 10_880, 10_875.34),
    (Speed.HIGH, 1024, False, True, 20_835, 20_830.00),
    (Speed.HIGH, 1024, True, True, 20_551, 20_546.71),
    (Speed.HIGH, 3072, True, True, 60_368, 60_363.26),
]


@pytest.mark.parametrize(("speed", "payload", "isochronous", "inward", "kernel", "printed"), WORKED)
def test_worked_bus_times(
    speed: Speed, payload: int, isochronous: bool, inward: bool, kernel: int, printed: float
) -> None:
    assert transaction_ns(speed, payload, isochronous=isochronous, inward=inward) == pytest.approx(printed, abs=0.01)
    assert kernel_ns(speed, payload, isochronous, inward) == kernel


@given(
    st.sampled_from([Speed.LOW, Speed.FULL, Speed.HIGH]),
    st.integers(0, 1023),
    st.booleans(),
    st.booleans(),
)
def test_the_kernel_agrees_within_what_it_rounds(speed: Speed, payload: int, isochronous: bool, inward: bool) -> None:
    """With the kernel's estimates put in, the two differ by at most two bit times and its truncations."""
    if speed is Speed.LOW and isochronous:
        return
    delay = HIGH_HOST_DELAY if speed is Speed.HIGH else HOST_DELAY
    mine = transaction_ns(
        speed, payload, isochronous=isochronous, inward=inward, host_delay_ns=delay, hub_setup_ns=HUB_SETUP
    )
    bit_ns = {Speed.LOW: 676.67, Speed.FULL: 83.54, Speed.HIGH: 2.083}[speed]
    assert abs(mine - kernel_ns(speed, payload, isochronous, inward)) <= 2 * bit_ns + 2


def test_worst_stuffing_leaves_eleven_transactions() -> None:
    assert math.floor(125_000 / transaction_ns(Speed.HIGH, 512)) == 11
    assert bulk_ceiling_bytes_per_s(WORST_STUFFING) == 45_056_000


def test_without_stuffing_it_is_table_5_10() -> None:
    assert bulk_ceiling_bytes_per_s(NO_STUFFING) == 53_248_000


@given(st.sampled_from([Speed.FULL, Speed.HIGH]), st.integers(0, 1000))
def test_more_bytes_take_longer(speed: Speed, payload: int) -> None:
    assert transaction_ns(speed, payload + 1) > transaction_ns(speed, payload)


def test_what_has_no_formula() -> None:
    with pytest.raises(ValueError, match="no formula"):
        transaction_ns(Speed.LOW, 8, isochronous=True)
    with pytest.raises(ValueError, match="no formula"):
        transaction_ns(Speed.SUPER, 1024)
