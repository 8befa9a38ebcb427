"""How long a transaction holds the bus: the formulas of USB 2.0 5.11.3, in nanoseconds.

The specification leaves two terms open: Host_Delay (the controller's own) and Hub_LS_Setup (a hub switching to low
speed). Both are arguments here. Bit stuffing adds up to one bit in seven; its worst case is built into the formulas,
and without it the high-speed result is the arithmetic of table 5-10.
"""

from __future__ import annotations

import math

from topo.model.speed import Speed

WORST_STUFFING = 1.1667
"""Longest data after bit stuffing over its length: 7/6, as printed in 5.11.3."""

NO_STUFFING = 1.0

HIGH_BIT_NS = 2.083
FULL_BIT_NS = 83.54
MICROFRAME_NS = 125_000.0


def data_bits(payload: int, stuffing: float = WORST_STUFFING) -> int:
    """floor(3.167 + BitStuffTime(payload)): bits of the data with stuffing (USB 2.0 5.11.3)."""
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
        base, bit = (64060.0, 676.67) if inward else (64107.0, 667.0)
        return base + 2 * hub_setup_ns + bit * bits + host_delay_ns
    raise ValueError(f"USB 2.0 5.11.3 has no formula for {speed.word} speed{' isochronous' if isochronous else ''}")


def bulk_ceiling_bytes_per_s(stuffing: float, payload: int = 512) -> int:
    """High-speed bulk payload each second when whole transactions of that stuffing fill each microframe.

    11 transactions and 45.056 MB/s with the worst stuffing, against 13 and 53.248 MB/s with none (table 5-10).
    """
    return math.floor(MICROFRAME_NS / transaction_ns(Speed.HIGH, payload, stuffing=stuffing)) * payload * 8000
