"""Translators: budgets and splits of USB 2.0 11.17 and 11.18, the cost on the bus above, and serial adapters behind."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.model.speed import Speed
from topo.usb.frames import OVERHEAD_BYTES, Transfer, ceiling
from topo.usb.translator import (
    BUS_BYTES_AFTER_STUFFING,
    FULL_SPEED_BUDGET_BYTES,
    TRANSLATOR_BUS_BYTES,
    best_case_budget,
    exchange_frame_share,
    isochronous_splits,
    serial_line_bytes_per_s,
    split_bus_seconds_per_byte,
)


def test_budget_of_figure_11_60() -> None:
    assert best_case_budget() == (188, 188, 188, 188, 188, 188, 29, 0)


@given(st.integers(0, FULL_SPEED_BUDGET_BYTES))
def test_budgets_are_whole_and_early(frame_bytes: int) -> None:
    row = best_case_budget(frame_bytes)
    assert sum(row) == frame_bytes and len(row) == 8
    assert list(row) == sorted(row, reverse=True) and max(row) <= 188


@pytest.mark.parametrize(("payload", "outward", "inward"), [(1, 1, 4), (188, 1, 4), (189, 2, 5), (1023, 6, 9)])
def test_isochronous_splits(payload: int, outward: int, inward: int) -> None:
    """1,023 bytes: six start-splits out; in, one start-split and complete-splits in six microframes and two more."""
    assert isochronous_splits(payload, inward=False) == outward
    assert isochronous_splits(payload, inward=True) == inward


def test_cost_of_an_active_translator() -> None:
    """31 + 94 blocks of 4 bytes. Of the raw microframe 6.67 %; 7.78 % only of the 1,607 blocks after stuffing."""
    assert TRANSLATOR_BUS_BYTES == (31 + 94) * 4
    assert int(7500 * 6 / 7 / 4) * 4 == BUS_BYTES_AFTER_STUFFING
    assert pytest.approx(0.0667, abs=5e-5) == TRANSLATOR_BUS_BYTES / 7500
    assert pytest.approx(0.0778, abs=5e-5) == TRANSLATOR_BUS_BYTES / BUS_BYTES_AFTER_STUFFING
    assert pytest.approx(24.06, abs=0.01) == 94 * 4 * 8 * 8000 / 1e6  # Mb/s: the comment in the source says about 24


# Parts of a high-speed transaction in bytes, each with sync, packet id, end and gap (USB 2.0 table 5-10's own list).
TOKEN = EMPTY_DATA = 4 + 1 + 2 + 12
HANDSHAKE = 4 + 1 + 12
SPLIT = 4 + 1 + 3 + 12  # 24 bits after the packet id (USB 2.0 8.4.2, from memory)


@pytest.mark.parametrize("packet", [1, 8, 62, 64])
def test_split_cost_beside_a_count_token_by_token(packet: int) -> None:
    """In: split token handshake, split token data. Out: split token data handshake, split token handshake.

    The product's two bulk overheads are 4 bytes less than the first and 21 less than the second.
    """
    assert OVERHEAD_BYTES[Speed.HIGH, Transfer.BULK] == TOKEN + EMPTY_DATA + HANDSHAKE
    inward = (SPLIT + TOKEN + HANDSHAKE) + (SPLIT + TOKEN + EMPTY_DATA + packet)
    outward = (SPLIT + TOKEN + EMPTY_DATA + packet + HANDSHAKE) + (SPLIT + TOKEN + HANDSHAKE)
    taken = split_bus_seconds_per_byte(packet) * packet * 60e6
    assert taken == pytest.approx(inward - 4) == pytest.approx(outward - 21)


def test_split_cost_of_a_full_packet_is_low_by_what_the_text_says() -> None:
    taken = split_bus_seconds_per_byte(64) * 64 * 60e6
    assert (178 / taken - 1, 195 / taken - 1) == pytest.approx((0.02, 0.12), abs=0.005)


@given(st.integers(1, 63))
def test_fuller_packets_cost_the_bus_less_a_byte(packet: int) -> None:
    assert split_bus_seconds_per_byte(packet) > split_bus_seconds_per_byte(packet + 1) > 1 / 60e6


# 8 data bits, no parity, one stop bit: bytes a second, and ms for ten bytes out and ten back.
LINES = [(9600, 960, 20.83), (19_200, 1920, 10.42), (57_600, 5760, 3.47), (115_200, 11_520, 1.74)]


@pytest.mark.parametrize(("baud", "rate", "milliseconds"), LINES)
def test_serial_lines(baud: float, rate: float, milliseconds: float) -> None:
    assert serial_line_bytes_per_s(baud) == rate
    assert 20 / serial_line_bytes_per_s(baud) * 1000 == pytest.approx(milliseconds, abs=0.006)


def test_a_fast_serial_line_is_one_percent_of_a_translator() -> None:
    share = serial_line_bytes_per_s(115_200) / ceiling(Speed.FULL, Transfer.BULK, 64)
    assert share == pytest.approx(0.0095, abs=5e-5)


def test_a_poll_by_hand() -> None:
    """10 bytes out and 10 back are two packets: 2 x (10 + 13) of 1,500 bytes. 100 bytes back are two packets more."""
    assert exchange_frame_share(10, 10) == pytest.approx(46 / 1500)
    assert exchange_frame_share(10, 100) == pytest.approx((23 + 100 + 26) / 1500)
    assert exchange_frame_share(0, 0) == 0


@given(st.integers(0, 500), st.integers(0, 500))
def test_polls_cost_the_same_both_ways_and_more_with_more(out: int, back: int) -> None:
    assert exchange_frame_share(out, back) == exchange_frame_share(back, out) < exchange_frame_share(out + 1, back)


def test_what_cannot_be() -> None:
    for wrong in (0, 65):
        with pytest.raises(ValueError, match="packet is 1 to 64"):
            split_bus_seconds_per_byte(wrong)
    with pytest.raises(ValueError, match="0 to 1157"):
        best_case_budget(1158)
    with pytest.raises(ValueError, match="1 to 1023"):
        isochronous_splits(1024, inward=True)
    with pytest.raises(ValueError, match="0 bytes or more"):
        exchange_frame_share(-1, 0)
    for baud in (0.0, -9600.0, float("nan")):
        with pytest.raises(ValueError, match="baud"):
            serial_line_bytes_per_s(baud)
