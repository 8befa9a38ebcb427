"""Translators: budgets and splits of USB 2.0 11.17 and 11.18, the cost on the bus above, and serial adapters behind."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.model.facts import Fact
from topo.model.records import DeviceFacts
from topo.model.speed import Speed
from topo.pipeline import rig_of
from topo.rigfile.read import read_text
from topo.usb.frames import OVERHEAD_BYTES, Transfer
from topo.usb.periodic import reservations
from topo.usb.traffic import traffic
from topo.usb.translator import (
    exchange_frame_share,
    exchange_seconds_per_byte,
    isochronous_splits,
    split_bus_seconds_per_byte,
)
from topo.wiring.topology import Topology


@pytest.mark.parametrize(("payload", "outward", "inward"), [(1, 1, 4), (188, 1, 4), (189, 2, 5), (1023, 6, 9)])
def test_isochronous_splits(payload: int, outward: int, inward: int) -> None:
    """1,023 bytes: six start-splits out; in, one start-split and complete-splits in six microframes and two more."""
    assert isochronous_splits(payload, inward=False) == outward
    assert isochronous_splits(payload, inward=True) == inward


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
    with pytest.raises(ValueError, match="1 to 1023"):
        isochronous_splits(1024, inward=True)
    with pytest.raises(ValueError, match="0 bytes or more"):
        exchange_frame_share(-1, 0)
    with pytest.raises(ValueError, match="some bytes"):
        exchange_seconds_per_byte(0, 0)


def test_an_exchange_by_hand() -> None:
    """10 bytes out and 10 back, two packets: 46 of 1,500 bytes of a frame of 1 ms; above, 4 x 55 + 20 of 7,500 bytes of
    a microframe of 125 us. In bytes of full packets it would look a third and two thirds cheaper."""
    slow, above = exchange_seconds_per_byte(10, 10)
    assert slow * 20 == pytest.approx(46 / 1500 * 1e-3)
    assert above * 20 == pytest.approx((4 * 55 + 20) / 7500 * 125e-6)
    full_slow, full_above = exchange_seconds_per_byte(64, 64)
    assert full_above == pytest.approx(split_bus_seconds_per_byte(64))
    assert slow / full_slow == pytest.approx(2.3 / (77 / 64))
    assert above > 4 * full_above


def test_polls_cost_what_their_packets_cost() -> None:
    """The costs of a mount's flow are those of its exchange, on the translator and on the bus above it."""
    text = ("rig: X\ncomputer: {ports: {usb2-1: {usb2_bus: a}}}\nhubs: {hub: {speed: high, ports: 4, plug: "
            "computer/usb2-1}}\ndevices: {mount: {role: mount, speed: full, plug: hub/1, serial: {baud: 9600, "
            "polls_per_s: 1, bytes_out: 10, bytes_in: 30}}}\n")
    [flow] = traffic(Topology(rig_of(read_text(text, "x")))).flows
    costs = {use.resource.split(":")[0]: use.seconds_per_byte for use in flow.uses}
    assert (costs["translator"], costs["usb2"]) == pytest.approx(exchange_seconds_per_byte(10, 30))


def test_a_slow_stream_reserves_splits_above() -> None:
    """200 bytes each millisecond at full speed: in two microframes, with a start-split and three complete-splits."""
    facts = DeviceFacts(iso_bytes_per_ms=Fact(200.0, "declared"))
    kept = reservations(facts, Speed.FULL)
    assert kept.high_speed_stream == pytest.approx((5 * 38 + 200) / 60_000)
    assert kept.own_stream == pytest.approx((9 + 200) / 1500)
