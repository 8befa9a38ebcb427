"""What interrupt and isochronous endpoints reserve of a bus, as a share of its time. Bulk reserves nothing."""

from __future__ import annotations

import math
from dataclasses import dataclass

from topo.model.facts import Facts
from topo.model.speed import Speed

FRAME_BYTES = {Speed.LOW: 187, Speed.FULL: 1500}
MICROFRAME_BYTES = 7500
"""Bytes a 1 ms frame and a 125 us microframe hold (USB 2.0 5.5.4, tables 5-1 to 5-10)."""

INTERRUPT_OVERHEAD = {Speed.LOW: 19, Speed.FULL: 13, Speed.HIGH: 55}
"""Bytes of protocol for each interrupt transaction (USB 2.0 tables 5-6, 5-7, 5-8)."""

ISO_OVERHEAD = {Speed.FULL: 9, Speed.HIGH: 38}
"""Bytes of protocol for each isochronous transaction (USB 2.0 tables 5-4, 5-5)."""

SPLITS_OF_AN_INTERRUPT = 3
"""High-speed transactions behind a translator for one slow interrupt: a start-split and, most often, two
complete-splits (USB 2.0 11.18.4)."""


@dataclass(frozen=True, slots=True)
class Reservation:
    """Shares of bus time: of the device's own bus (or its translator), and of the high-speed bus above a translator."""

    own_bus: float = 0.0
    high_speed_bus: float = 0.0


def reservations(facts: Facts, speed: Speed) -> Reservation:
    """What a device's periodic endpoints reserve at low, full or high speed. Unknown endpoints reserve nothing."""
    own = split = 0.0
    if (size := facts.number("interrupt_bytes")) is not None:
        interval_ms = facts.number("interrupt_interval_ms") or 8.0
        own += _interrupt(size, interval_ms, speed)
        split += (SPLITS_OF_AN_INTERRUPT * INTERRUPT_OVERHEAD[Speed.HIGH] + size) / (MICROFRAME_BYTES * 8 * interval_ms)
    if (per_ms := facts.number("iso_bytes_per_ms")) is not None and speed in ISO_OVERHEAD:
        own += _isochronous(per_ms, speed)
        split += (8 * ISO_OVERHEAD[Speed.HIGH] + per_ms) / (MICROFRAME_BYTES * 8)
    return Reservation(own, split if speed < Speed.HIGH else 0.0)


def _interrupt(size: float, interval_ms: float, speed: Speed) -> float:
    if speed is Speed.HIGH:
        transactions = math.ceil(size / 1024)
        return (transactions * INTERRUPT_OVERHEAD[speed] + size) / (MICROFRAME_BYTES * 8 * interval_ms)
    return (INTERRUPT_OVERHEAD[speed] + size) / (FRAME_BYTES[speed] * max(1.0, interval_ms))


def _isochronous(bytes_per_ms: float, speed: Speed) -> float:
    if speed is Speed.HIGH:
        each = bytes_per_ms / 8
        return (math.ceil(each / 1024) * ISO_OVERHEAD[speed] + each) / MICROFRAME_BYTES
    return (ISO_OVERHEAD[speed] + bytes_per_ms) / FRAME_BYTES[speed]
