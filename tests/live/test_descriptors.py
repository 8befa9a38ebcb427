"""Descriptors: hand-worked bytes, and bytes made to hurt."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tests.fuzz_descriptors import fuzz
from tests.live.recordings.make import (
    BULK,
    INTERRUPT,
    ISO,
    LPM,
    SUPER,
    SUPER_PLUS,
    bos,
    config,
    container,
    device,
    endpoint,
    interface,
)
from topo.live.descriptors import MOST_DESCRIPTOR_BYTES, bcd, interval_us, read_bos, read_descriptors


def test_a_device_with_one_bulk_endpoint() -> None:
    # 12 01 00 02 | 00 00 00 40 | a4 f1 c0 31 … then one configuration of 32 bytes, as in USB 2.0 tables 9-8 to 9-13.
    told = read_descriptors(
        bytes.fromhex("12010002000000 40a4f1c031020001020301".replace(" ", ""))
        + bytes.fromhex("09022000010100c032 0904000001ff000000 07058102000200".replace(" ", "")),
        480,
    )
    assert (told.usb_version, told.vendor_id, told.product_id) == (2.0, "f1a4", "31c0")
    (only,) = told.configs
    assert (only.value, only.attributes) == (1, 0xC0)
    (end,) = only.interfaces[0].endpoints
    assert (end.address, end.kind, end.max_packet, end.interval_bytes, end.interval_us) == (
        0x81,
        "bulk",
        512,
        512,
        None,
    )
    assert told.problems == ()


def test_high_bandwidth_endpoints_count_all_packets_of_a_microframe() -> None:
    # USB 2.0 table 9-13: bits 12..11 of wMaxPacketSize = 2 more packets: 3 x 1024 bytes in each 125 µs.
    told = read_descriptors(
        device(0x0200, (0, 0, 0), 1, 2) + config(interface(0, 0, (14, 2, 0), endpoint(0x81, ISO, 0x1400, 1))), 480
    )
    (end,) = told.configs[0].interfaces[0].endpoints
    assert (end.max_packet, end.interval_bytes, end.interval_us) == (1024, 3072, 125.0)


def test_a_companion_tells_the_bytes_of_an_interval() -> None:
    # USB 3.2 9.6.7: a burst of 15 more packets of 1024 bytes is 16 KiB for bulk.
    ends = interface(0, 0, (255, 0, 0), endpoint(0x81, BULK, 1024, 0, 15), endpoint(0x82, INTERRUPT, 64, 4, 0))
    bulk, interrupt = (
        read_descriptors(device(0x0300, (0, 0, 0), 1, 2) + config(ends), 5000).configs[0].interfaces[0].endpoints
    )
    assert bulk.interval_bytes == 16 * 1024
    assert (interrupt.interval_bytes, interrupt.interval_us) == (64, 1000.0)


def test_intervals_follow_the_speed() -> None:
    # USB 2.0 table 9-13: interrupt at full speed n ms; at high speed 2^(n-1) microframes; isochronous full 2^(n-1) ms.
    assert interval_us("interrupt", 10, 12) == 10_000
    assert interval_us("interrupt", 4, 480) == 1000
    assert interval_us("iso", 1, 12) == 1000
    assert interval_us("interrupt", 255, 480) == 125.0 * 2**15
    assert interval_us("bulk", 9, 480) is None


def test_versions_are_decimal() -> None:
    assert [bcd(word) for word in (0x0110, 0x0200, 0x0210, 0x0320)] == [1.1, 2.0, 2.1, 3.2]


def test_a_bos_tells_what_a_device_could_do() -> None:
    told = read_bos(bos(LPM, SUPER, container(0)))
    assert told.speeds_mbit == (12.0, 480.0, 5000.0)  # wSpeedsSupported 0x000E: bits 1, 2, 3
    # Bytes 00 01 02 03 04 05 …: the first three groups of a container id are little-endian (UUID, RFC 9562).
    assert told.container_id == "03020100-0504-0706-0809-0a0b0c0d0e0f"
    # SuperSpeedPlus: mantissa 10, exponent 3 (Gb/s).
    assert read_bos(bos(SUPER, SUPER_PLUS)).speeds_mbit == (12.0, 480.0, 5000.0, 10000.0)


def test_an_all_zero_container_says_nothing() -> None:
    assert read_bos(bos(bytes((20, 0x10, 4, 0)) + bytes(16))).container_id is None


def test_what_is_cut_or_wrong_is_told_and_the_rest_kept() -> None:
    whole = device(0x0200, (0, 0, 0), 0xF1A0, 1) + config(interface(0, 0, (255, 0, 0), endpoint(0x81, BULK, 512)))
    cut = read_descriptors(whole[:-3], 480)
    assert cut.vendor_id == "f1a0" and cut.configs[0].interfaces and "cut off at byte 36" in cut.problems[0]
    zero = read_descriptors(whole[:18] + b"\0\0" + whole[18:], 480)
    assert zero.configs == () and "a length of 0 at byte 18" in zero.problems[0]
    assert read_descriptors(b"", 480).problems == ("descriptors: there is no device descriptor",)


def test_wrong_totals_are_not_trusted() -> None:
    lying = config(interface(0, 0, (255, 0, 0), endpoint(0x81, BULK, 512)), total=0xFFFF)
    told = read_descriptors(device(0x0200, (0, 0, 0), 1, 2) + lying, 480)
    assert len(told.configs[0].interfaces[0].endpoints) == 1 and told.problems == ()


def test_huge_inputs_end() -> None:
    told = read_descriptors(b"\x02\x99" * MOST_DESCRIPTOR_BYTES, 480)
    assert any("only the first" in problem for problem in told.problems)


@given(st.binary(max_size=400), st.sampled_from([None, 1.5, 12.0, 480.0, 5000.0]))
def test_any_bytes_give_a_value(data: bytes, speed: float | None) -> None:
    read_descriptors(data, speed)
    read_bos(data)


def test_twenty_thousand_mutants() -> None:
    slowest, fruitful = fuzz(20_000, seed=3)
    assert slowest < 0.5
    assert fruitful > 5_000
