"""What hosts are seen to deliver, as ranges, beside what the protocol allows: two figures, never one."""

from __future__ import annotations

from topo.frozen import frozen
from topo.model.facts import Basis, Range3
from topo.model.speed import Speed
from topo.usb.bustime import NO_STUFFING, WORST_STUFFING, bulk_ceiling_bytes_per_s, full_speed_bulk_bytes_per_s
from topo.usb.frames import Transfer, ceiling
from topo.usb.pcie import uplink_mb_per_s
from topo.usb.superspeed import gen1_ceiling_mb_per_s, gen2_ceiling_mb_per_s


@frozen
class Delivered:
    """Ceiling and expectation of one bulk flow in MB/s, and the time each frame costs besides its bytes in seconds."""

    ceiling_mb_per_s: float
    expected: Range3
    fixed_s: Range3
    basis: Basis
    source: str


def delivered(speed: Speed) -> Delivered:
    """What a link of that speed is seen to deliver to one bulk flow."""
    return _TABLE[speed]


def delivered_uplink(word: str | float) -> Delivered:
    """What a controller's PCI Express link delivers one way: packets of 128 bytes at the least, 256 at the most.

    `word` as for `uplink_mb_per_s`, whose ValueError passes through.
    """
    usual, large = uplink_mb_per_s(word, payload=128), uplink_mb_per_s(word, payload=256)
    return Delivered(
        large,
        Range3(usual, usual, large),
        Range3.of(0.0),
        "assumed",
        "lane rate less packet overhead, packets of 128 to 256 bytes; which of them a computer uses is not known",
    )


def _scaled(reference: Range3, ceiling_mb_per_s: float, of_mb_per_s: float) -> Range3:
    return reference.scaled(ceiling_mb_per_s / of_mb_per_s)


_GEN1, _GEN2 = gen1_ceiling_mb_per_s(), gen2_ceiling_mb_per_s()
_STUFFED_HIGH = bulk_ceiling_bytes_per_s(WORST_STUFFING) / bulk_ceiling_bytes_per_s(NO_STUFFING)
_STUFFED_FULL = full_speed_bulk_bytes_per_s(WORST_STUFFING) / full_speed_bulk_bytes_per_s(NO_STUFFING)
"""What is left of a bus where bit stuffing makes all data a sixth longer: 11 transactions of 13, and 16 of 19. What a
picture shows decides (a maker's manual: white pictures take more of the bus than black ones)."""

_SEEN_AT_USB2 = Range3(41.5 * _STUFFED_HIGH, 41.5, 45.4)
_SEEN_AT_GEN1 = Range3(320.0, 350.0, 390.0)
_FIXED_AT_USB2 = Range3(0.014, 0.019, 0.024)
_FIXED_AT_USB3 = Range3(0.044, 0.044, 0.044)

_TABLE = {
    Speed.LOW: Delivered(
        ceiling(Speed.LOW, Transfer.INTERRUPT, 8) / 1e6,
        Range3(0.0008, 0.006, 0.048),
        Range3.of(0.0),
        "assumed",
        "one interrupt packet of 8 bytes each 10 ms at the least; table 5-6 at the most",
    ),
    Speed.FULL: Delivered(
        ceiling(Speed.FULL, Transfer.BULK, 64) / 1e6,
        Range3(_STUFFED_FULL, 1.0, 1.157),
        _FIXED_AT_USB2,
        "assumed",
        "about 1 MB/s usable: common practice, no source; at the most about 18 of the 19 transactions of table 5-9; "
        "at the least what the worst bit stuffing leaves of the usual (5.11.3)",
    ),
    Speed.HIGH: Delivered(
        ceiling(Speed.HIGH, Transfer.BULK, 512) / 1e6,
        _SEEN_AT_USB2,
        _FIXED_AT_USB2,
        "profile",
        "computed from one maker's published download times of full and small frames at USB 2; at the least what the "
        "worst bit stuffing leaves of the usual (5.11.3)",
    ),
    Speed.SUPER: Delivered(
        _GEN1,
        _SEEN_AT_GEN1,
        _FIXED_AT_USB3,
        "profile",
        "computed from published frame rates and download times of several makers' cameras at 5 Gb/s: 324 to 377 MB/s, "
        "rounded outwards",
    ),
    Speed.SUPER_PLUS: Delivered(
        _GEN2,
        _scaled(_SEEN_AT_GEN1, _GEN2, _GEN1),
        _FIXED_AT_USB3,
        "assumed",
        "no published figure found: the same shares of the ceiling as at 5 Gb/s",
    ),
}
