"""What interrupt and isochronous endpoints reserve of a bus, as a share of its time. Bulk reserves nothing."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.facts import value_of
from topo.model.speed import Speed
from topo.usb.frames import BYTES_PER_FRAME, MAX_PAYLOAD, OVERHEAD_BYTES, Transfer
from topo.usb.translator import isochronous_splits

if TYPE_CHECKING:
    from topo.model.records import DeviceFacts

SPLITS_OF_AN_INTERRUPT = 3
"""High-speed transactions behind a translator for one slow interrupt: a start-split and, most often, two
complete-splits (USB 2.0 11.18.4)."""


@frozen
class Reservation:
    """Shares of bus time: of the device's own bus (or its translator), and of the high-speed bus above a translator.

    `own_stream` and `high_speed_stream` are the parts of them that isochronous streams take.
    """

    own_bus: float = 0.0
    high_speed_bus: float = 0.0
    own_stream: float = 0.0
    high_speed_stream: float = 0.0


def reservations(facts: DeviceFacts, speed: Speed) -> Reservation:
    """What a device's periodic endpoints reserve at low, full or high speed. Unknown endpoints reserve nothing."""
    own = split = stream = split_stream = 0.0
    if (size := value_of(facts.interrupt_bytes)) is not None:
        interval_ms = value_of(facts.interrupt_interval_ms) or 8.0
        own += _interrupt(size, interval_ms, speed)
        split += (SPLITS_OF_AN_INTERRUPT * OVERHEAD_BYTES[Speed.HIGH, Transfer.INTERRUPT] + size) / (
            BYTES_PER_FRAME[Speed.HIGH] * 8 * interval_ms
        )
    if (per_ms := value_of(facts.iso_bytes_per_ms)) is not None and (speed, Transfer.ISOCHRONOUS) in OVERHEAD_BYTES:
        stream = _isochronous(per_ms, speed)
        if speed is Speed.FULL:
            packets = math.ceil(per_ms / MAX_PAYLOAD[Speed.FULL, Transfer.ISOCHRONOUS])
            splits = packets * isochronous_splits(math.ceil(per_ms / packets), inward=True)
            split_stream = (splits * OVERHEAD_BYTES[Speed.HIGH, Transfer.ISOCHRONOUS] + per_ms) / (
                BYTES_PER_FRAME[Speed.HIGH] * 8
            )
    if speed is Speed.HIGH:
        return Reservation(own + stream, 0.0, stream)
    return Reservation(own + stream, split + split_stream, stream, split_stream)


def _interrupt(size: float, interval_ms: float, speed: Speed) -> float:
    if speed is Speed.HIGH:
        transactions = math.ceil(size / 1024)
        return (transactions * OVERHEAD_BYTES[speed, Transfer.INTERRUPT] + size) / (
            BYTES_PER_FRAME[Speed.HIGH] * 8 * interval_ms
        )
    return (OVERHEAD_BYTES[speed, Transfer.INTERRUPT] + size) / (BYTES_PER_FRAME[speed] * max(1.0, interval_ms))


def _isochronous(bytes_per_ms: float, speed: Speed) -> float:
    if speed is Speed.HIGH:
        each = bytes_per_ms / 8
        return (math.ceil(each / 1024) * OVERHEAD_BYTES[speed, Transfer.ISOCHRONOUS] + each) / BYTES_PER_FRAME[
            Speed.HIGH
        ]
    return (OVERHEAD_BYTES[speed, Transfer.ISOCHRONOUS] + bytes_per_ms) / BYTES_PER_FRAME[speed]
