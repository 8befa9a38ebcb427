"""USB 2.0 tables 5-1 to 5-10, row by row: transactions, bytes left, payload bytes each second.

The rows are those of the specification's tables (27 April 2000). Tables 5-3 and 5-10 were read in stored copies of the
text; the others are from memory where the module says so, and follow from their overhead by division. Two printed slips
are known: table 5-2 prints 23 bytes left in its first row, which implies a frame of 1,495 bytes, and table 5-1 of an
earlier edition used another overhead; neither moves a rate used here.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.model.speed import Speed
from topo.usb.frames import (
    BYTES_PER_FRAME,
    MAX_PAYLOAD,
    OVERHEAD_BYTES,
    Transfer,
    ceiling,
    max_payload,
    seconds_per_byte,
    transactions,
)

LOW_INTERRUPT = [(1, 9, 7, 9_000), (2, 8, 19, 16_000), (4, 8, 3, 32_000), (8, 6, 25, 48_000)]
FULL_CONTROL = [
    (1, 32, 28, 32_000),
    (2, 31, 43, 62_000),
    (4, 30, 30, 120_000),
    (8, 28, 16, 224_000),
    (16, 24, 36, 384_000),
    (32, 19, 37, 608_000),
    (64, 13, 83, 832_000),
]
FULL_BULK_AND_INTERRUPT = [
    (1, 107, 2, 107_000),
    (2, 100, 0, 200_000),
    (4, 88, 4, 352_000),
    (8, 71, 9, 568_000),
    (16, 51, 21, 816_000),
    (32, 33, 15, 1_056_000),
    (64, 19, 37, 1_216_000),
]
FULL_ISOCHRONOUS = [
    (1, 150, 0, 150_000),
    (2, 136, 4, 272_000),
    (4, 115, 5, 460_000),
    (8, 88, 4, 704_000),
    (16, 60, 0, 960_000),
    (32, 36, 24, 1_152_000),
    (64, 20, 40, 1_280_000),
    (128, 10, 130, 1_280_000),
    (256, 5, 175, 1_280_000),
    (512, 2, 458, 1_024_000),
    (1023, 1, 468, 1_023_000),
]
HIGH_CONTROL = [
    (1, 43, 18, 344_000),
    (2, 42, 150, 672_000),
    (4, 42, 66, 1_344_000),
    (8, 41, 79, 2_624_000),
    (16, 39, 129, 4_992_000),
    (32, 36, 120, 9_216_000),
    (64, 31, 153, 15_872_000),
]
HIGH_BULK = [
    (1, 133, 52, 1_064_000),
    (2, 131, 33, 2_096_000),
    (4, 127, 7, 4_064_000),
    (8, 119, 3, 7_616_000),
    (16, 105, 45, 13_440_000),
    (32, 86, 18, 22_016_000),
    (64, 63, 3, 32_256_000),
    (128, 40, 180, 40_960_000),
    (256, 24, 36, 49_152_000),
    (512, 13, 129, 53_248_000),
]
HIGH_INTERRUPT = [*HIGH_BULK, (1024, 6, 1026, 49_152_000), (2048, 3, 1191, 49_152_000), (3072, 2, 1246, 49_152_000)]
HIGH_ISOCHRONOUS = [
    (1, 192, 12, 1_536_000),
    (2, 187, 20, 2_992_000),
    (4, 178, 24, 5_696_000),
    (8, 163, 2, 10_432_000),
    (16, 138, 48, 17_664_000),
    (32, 107, 10, 27_392_000),
    (64, 73, 54, 37_376_000),
    (128, 45, 30, 46_080_000),
    (256, 25, 150, 51_200_000),
    (512, 13, 350, 53_248_000),
    (1024, 7, 66, 57_344_000),
    (2048, 3, 1242, 49_152_000),
    (3072, 2, 1280, 49_152_000),
]
TABLES = [
    ("5-2", Speed.FULL, Transfer.CONTROL, FULL_CONTROL),
    ("5-3", Speed.HIGH, Transfer.CONTROL, HIGH_CONTROL),
    ("5-4", Speed.FULL, Transfer.ISOCHRONOUS, FULL_ISOCHRONOUS),
    ("5-5", Speed.HIGH, Transfer.ISOCHRONOUS, HIGH_ISOCHRONOUS),
    ("5-6", Speed.LOW, Transfer.INTERRUPT, LOW_INTERRUPT),
    ("5-7", Speed.FULL, Transfer.INTERRUPT, FULL_BULK_AND_INTERRUPT),
    ("5-8", Speed.HIGH, Transfer.INTERRUPT, HIGH_INTERRUPT),
    ("5-9", Speed.FULL, Transfer.BULK, FULL_BULK_AND_INTERRUPT),
    ("5-10", Speed.HIGH, Transfer.BULK, HIGH_BULK),
]


@pytest.mark.parametrize(
    ("table", "speed", "transfer", "row"),
    [(name, speed, transfer, row) for name, speed, transfer, rows in TABLES for row in rows],
)
def test_row(table: str, speed: Speed, transfer: Transfer, row: tuple[int, int, int, int]) -> None:
    payload, count, left, rate = row
    found = transactions(speed, transfer, payload)
    assert (found.transactions, found.bytes_left, found.bytes_per_s) == (count, left, rate), table


def test_high_speed_control_overhead_adds_up() -> None:
    """Table 5-3 prints it: 9x4 sync, 9 packet ids, 6 address and CRC, 6 CRC-16, 8 setup, 9x(1+11) gaps."""
    assert OVERHEAD_BYTES[Speed.HIGH, Transfer.CONTROL] == 9 * 4 + 9 + 6 + 6 + 8 + 9 * 12


def test_low_speed_control_is_the_lower_of_two_published_figures() -> None:
    """187 bytes hold two transfers of 63 + 8 (16 kB/s); an earlier edition printed three. No imaging device uses it."""
    assert transactions(Speed.LOW, Transfer.CONTROL, 8).bytes_per_s == 16_000


@pytest.mark.parametrize(
    ("speed", "transfer", "most"),
    # USB 2.0 5.5.3, 5.6.3, 5.7.3, 5.8.3, as the kernel's own tables of largest packets have them.
    [
        (Speed.LOW, Transfer.INTERRUPT, 8),
        (Speed.FULL, Transfer.BULK, 64),
        (Speed.FULL, Transfer.ISOCHRONOUS, 1023),
        (Speed.HIGH, Transfer.BULK, 512),
        (Speed.HIGH, Transfer.INTERRUPT, 1024),
        (Speed.HIGH, Transfer.CONTROL, 64),
    ],
)
def test_largest_payloads(speed: Speed, transfer: Transfer, most: int) -> None:
    assert max_payload(speed, transfer) == most
    if transfer is Transfer.BULK:
        with pytest.raises(ValueError, match="payload is 1 to"):
            transactions(speed, transfer, most + 1)


@pytest.mark.parametrize(("speed", "transfer"), [(Speed.LOW, Transfer.BULK), (Speed.SUPER, Transfer.BULK)])
def test_no_such_transfer(speed: Speed, transfer: Transfer) -> None:
    with pytest.raises(ValueError, match="has no"):
        max_payload(speed, transfer)


@given(st.sampled_from(sorted(MAX_PAYLOAD, key=str)), st.data())
def test_a_frame_is_never_overfull_and_never_wastes_a_transaction(
    key: tuple[Speed, Transfer], data: st.DataObject
) -> None:
    speed, transfer = key
    payload = data.draw(st.integers(1, max_payload(speed, transfer)))
    row = transactions(speed, transfer, payload)
    each = OVERHEAD_BYTES[key] + payload
    assert 0 <= row.bytes_left < each
    assert row.transactions * each + row.bytes_left == BYTES_PER_FRAME[speed]
    per_second = 8000 if speed is Speed.HIGH else 1000
    assert (
        ceiling(speed, transfer, payload) == Fraction(BYTES_PER_FRAME[speed], each).__floor__() * payload * per_second
    )
    assert seconds_per_byte(speed, transfer, payload) * ceiling(speed, transfer, payload) == pytest.approx(1)
