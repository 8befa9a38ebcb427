"""Rules that hold for every payload of USB 2.0 tables 5-1 to 5-10, not only for the rows they print."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.model.speed import Speed
from topo.usb.frames import MAX_PAYLOAD, OVERHEAD_BYTES, Transfer, ceiling, max_payload, seconds_per_byte, transactions

WIRE_BYTES_PER_S = {Speed.LOW: 187_500, Speed.FULL: 1_500_000, Speed.HIGH: 60_000_000}
"""1.5, 12 and 480 Mb/s over 8 (USB 2.0 7.1.11)."""

KEYS = st.sampled_from(sorted(MAX_PAYLOAD, key=str))


@st.composite
def cases(draw: st.DrawFn) -> tuple[Speed, Transfer, int]:
    speed, transfer = draw(KEYS)
    return speed, transfer, draw(st.integers(1, max_payload(speed, transfer)))


@pytest.mark.parametrize(("payload", "left"), [(1, 59), (2, 57), (4, 53), (8, 45)])
def test_table_5_1_by_division(payload: int, left: int) -> None:
    """Two transfers of 63 bytes and the payload in 187. An earlier edition printed 46 bytes of overhead: three.

    The 63 are 15 sync, 15 packet ids, 6 address and CRC, 6 CRC-16, 8 setup and 13 of gaps (from memory).
    """
    row = transactions(Speed.LOW, Transfer.CONTROL, payload)
    assert (row.transactions, row.bytes_left, row.bytes_per_s) == (2, left, 2000 * payload)
    assert OVERHEAD_BYTES[Speed.LOW, Transfer.CONTROL] == 15 + 15 + 6 + 6 + 8 + 13
    assert 187 // (46 + payload) == 3


def test_the_printed_slip_of_table_5_2() -> None:
    """Its first row prints 23 bytes left; 32 transfers of 46 leave 28 of 1,500. 23 would be a frame of 1,495."""
    row = transactions(Speed.FULL, Transfer.CONTROL, 1)
    assert row.transactions == 32 == 1495 // 46
    assert (row.bytes_left, 1495 - 32 * 46) == (28, 23)


@pytest.mark.parametrize("key", sorted(MAX_PAYLOAD, key=str), ids=lambda key: f"{key[0].word}-{key[1].value}")
def test_more_payload_never_means_more_transactions(key: tuple[Speed, Transfer]) -> None:
    counts = [transactions(*key, payload).transactions for payload in range(1, max_payload(*key) + 1)]
    assert counts == sorted(counts, reverse=True)


def test_more_payload_can_mean_fewer_bytes() -> None:
    """Whole transactions only: one isochronous packet of 1,023 bytes a frame wastes 468, four more fit at 256."""
    assert ceiling(Speed.FULL, Transfer.ISOCHRONOUS, 1023) < ceiling(Speed.FULL, Transfer.ISOCHRONOUS, 256)
    assert ceiling(Speed.HIGH, Transfer.INTERRUPT, 1024) < ceiling(Speed.HIGH, Transfer.INTERRUPT, 512)


@given(cases())
def test_never_over_the_wire(case: tuple[Speed, Transfer, int]) -> None:
    """Payload and overhead together stay within the signalling rate, exactly."""
    speed, transfer, payload = case
    rate = Fraction(ceiling(speed, transfer, payload))
    on_the_wire = rate * Fraction(payload + OVERHEAD_BYTES[speed, transfer], payload)
    assert 0 < on_the_wire <= WIRE_BYTES_PER_S[speed]


@given(cases())
def test_the_bus_second_is_whole(case: tuple[Speed, Transfer, int]) -> None:
    """Seconds for each byte times the bytes of a second is one second, to the last digits of a float."""
    speed, transfer, payload = case
    exact = Fraction(1, ceiling(speed, transfer, payload))
    assert abs(Fraction(seconds_per_byte(speed, transfer, payload)) / exact - 1) < Fraction(1, 10**15)


@given(KEYS, st.sampled_from([-1, 0]))
def test_no_payload_is_refused(key: tuple[Speed, Transfer], payload: int) -> None:
    with pytest.raises(ValueError, match="payload is 1 to"):
        transactions(*key, payload)


@given(KEYS, st.integers(3073, 10**9))
def test_too_much_payload_is_refused(key: tuple[Speed, Transfer], payload: int) -> None:
    with pytest.raises(ValueError, match=f"not {payload}"):
        ceiling(*key, payload)
