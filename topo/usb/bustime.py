"""How long a transaction holds the bus: the formulas of USB 2.0 5.11.3, in nanoseconds.

The specification leaves two terms open: Host_Delay (the controller's own) and Hub_LS_Setup (a hub switching to low
speed). Both are arguments here. Bit stuffing adds up to one bit in six: its worst case is what the formulas print, and
without it they give the whole transactions of tables 5-9 and 5-10.
"""

from __future__ import annotations

import math

from topo.model.speed import Speed

WORST_STUFFING = 1.1667
"""Longest data after bit stuffing over its length: 7/6, as printed in 5.11.3."""

NO_STUFFING = 1.0

HIGH_BIT_NS = 2.083
FULL_BIT_NS = 83.54
LOW_BIT_NS_IN = 676.67
LOW_BIT_NS_OUT = 667.0
"""Nanoseconds of a bit, as printed in 5.11.3."""

MICROFRAME_NS = 125_000.0
FRAME_NS = 1_000_000.0


def data_bits(payload: int, stuffing: float = WORST_STUFFING) -> int:
    """floor(3.167 + BitStuffTime(payload)): bits of the data with stuffing (USB 2.0 5.11.3).

    The printed 1.1667 is a little over 7/6, which gives one bit more than exact arithmetic for some payloads past 626
    bytes. Raises ValueError for a negative payload, or stuffing outside 1 to 1.1667.
    """
    if payload < 0:
        raise ValueError(f"a payload has 0 bytes or more, not {payload}")
    if not NO_STUFFING <= stuffing <= WORST_STUFFING:
        raise ValueError(f"bit stuffing makes data {NO_STUFFING:g} to {WORST_STUFFING} times as long, not {stuffing}")
    return math.floor(3.167 + stuffing * 8 * payload)


def transaction_ns(
    speed: Speed,
    payload: int,
    *,
    isochronous: bool = False,
    inward: bool = True,
    host_delay_ns: float = 0.0,
    hub_setup_ns: float = 0.0,
    stuffing: float = WORST_STUFFING,
) -> float:
    """Bus time of one transaction in ns. Raises ValueError for a SuperSpeed, and for low-speed isochronous."""
    bits = data_bits(payload, stuffing)
    if speed is Speed.HIGH:
        return (38 if isochronous else 55) * 8 * HIGH_BIT_NS + HIGH_BIT_NS * bits + host_delay_ns
    if speed is Speed.FULL:
        base = (7268.0 if inward else 6265.0) if isochronous else 9107.0
        return base + FULL_BIT_NS * bits + host_delay_ns
    if speed is Speed.LOW and not isochronous:
        base, bit = (64060.0, LOW_BIT_NS_IN) if inward else (64107.0, LOW_BIT_NS_OUT)
        return base + 2 * hub_setup_ns + bit * bits + host_delay_ns
    raise ValueError(f"USB 2.0 5.11.3 has no formula for {speed.word} speed{' isochronous' if isochronous else ''}")


def bulk_ceiling_bytes_per_s(stuffing: float, payload: int = 512) -> int:
    """High-speed bulk payload each second when whole transactions of that stuffing fill each microframe.

    11 transactions and 45.056 MB/s with the worst stuffing, against 13 and 53.248 MB/s with none (table 5-10).
    """
    return math.floor(MICROFRAME_NS / transaction_ns(Speed.HIGH, payload, stuffing=stuffing)) * payload * 8000


def full_speed_bulk_bytes_per_s(stuffing: float, payload: int = 64) -> int:
    """Full-speed bulk payload each second when whole transactions of that stuffing fill each frame.

    19 transactions and 1.216 MB/s with no stuffing (table 5-9), 16 and 1.024 MB/s with the worst.
    """
    return math.floor(FRAME_NS / transaction_ns(Speed.FULL, payload, stuffing=stuffing)) * payload * 1000
