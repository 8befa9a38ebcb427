"""What fits in a frame or microframe: the tables 5-1 to 5-10 of the USB 2.0 specification, by their arithmetic.

A frame of 1 ms holds 187 bytes at low and 1,500 at full speed, a microframe of 125 us holds 7,500 at high speed. Each
transaction costs its payload and an overhead; whole transactions only. Bit stuffing is not in these tables.
"""

from __future__ import annotations

from enum import Enum

from topo.frozen import frozen
from topo.model.speed import Speed


class Transfer(Enum):
    """The four transfer types of USB 2.0 chapter 5."""

    CONTROL = "control"
    ISOCHRONOUS = "isochronous"
    INTERRUPT = "interrupt"
    BULK = "bulk"


BYTES_PER_FRAME = {Speed.LOW: 187, Speed.FULL: 1500, Speed.HIGH: 7500}
"""Bytes of bus time in a frame (low, full speed) or microframe (high speed): 1.5, 12 and 480 Mb/s."""

FRAMES_PER_S = {Speed.LOW: 1000, Speed.FULL: 1000, Speed.HIGH: 8000}
"""Frames (1 ms) or microframes (125 us) in a second."""

OVERHEAD_BYTES = {
    (Speed.LOW, Transfer.CONTROL): 63,  # table 5-1, from memory
    (Speed.FULL, Transfer.CONTROL): 45,  # table 5-2
    (Speed.HIGH, Transfer.CONTROL): 173,  # table 5-3
    (Speed.FULL, Transfer.ISOCHRONOUS): 9,  # table 5-4
    (Speed.HIGH, Transfer.ISOCHRONOUS): 38,  # table 5-5, from memory; the same 38 as in 5.11.3
    (Speed.LOW, Transfer.INTERRUPT): 19,  # table 5-6, from memory
    (Speed.FULL, Transfer.INTERRUPT): 13,  # table 5-7, from memory
    (Speed.HIGH, Transfer.INTERRUPT): 55,  # table 5-8, from memory; the same 55 as in 5.11.3
    (Speed.FULL, Transfer.BULK): 13,  # table 5-9, from memory
    (Speed.HIGH, Transfer.BULK): 55,  # table 5-10
}
"""Protocol bytes of a transaction (of a whole transfer, for control)."""

MAX_PAYLOAD = {
    (Speed.LOW, Transfer.CONTROL): 8,
    (Speed.FULL, Transfer.CONTROL): 64,
    (Speed.HIGH, Transfer.CONTROL): 64,
    (Speed.FULL, Transfer.ISOCHRONOUS): 1023,
    (Speed.HIGH, Transfer.ISOCHRONOUS): 1024,
    (Speed.LOW, Transfer.INTERRUPT): 8,
    (Speed.FULL, Transfer.INTERRUPT): 64,
    (Speed.HIGH, Transfer.INTERRUPT): 1024,
    (Speed.FULL, Transfer.BULK): 64,
    (Speed.HIGH, Transfer.BULK): 512,
}
"""Largest payload of one transaction, bytes (USB 2.0 5.5.3, 5.6.3, 5.7.3, 5.8.3)."""

HIGH_BANDWIDTH_PAYLOAD = 3072
"""Largest payload of a periodic high-speed endpoint in a microframe: three transactions of 1,024 (USB 2.0 5.9)."""


@frozen
class FrameRow:
    """A row of a table: how many transactions of a payload fit, bytes left over, payload bytes each second."""

    payload: int
    transactions: int
    bytes_left: int
    bytes_per_s: int


def max_payload(speed: Speed, transfer: Transfer) -> int:
    """Largest payload of one transaction, bytes. Raises ValueError where the speed has no such transfer."""
    try:
        return MAX_PAYLOAD[speed, transfer]
    except KeyError:
        raise ValueError(f"{speed.word} speed has no {transfer.value} transfers in USB 2.0") from None


def transactions(speed: Speed, transfer: Transfer, payload: int) -> FrameRow:
    """The row of the table for a payload in bytes. Raises ValueError outside what the speed and transfer allow.

    Periodic high-speed payloads up to 3,072 are rows of the tables too, which charge one overhead for up to three
    transactions.
    """
    most = max_payload(speed, transfer)
    if speed is Speed.HIGH and transfer in (Transfer.INTERRUPT, Transfer.ISOCHRONOUS):
        most = HIGH_BANDWIDTH_PAYLOAD
    if not 1 <= payload <= most:
        raise ValueError(f"a {speed.word}-speed {transfer.value} payload is 1 to {most} bytes, not {payload}")
    each = OVERHEAD_BYTES[speed, transfer] + payload
    count, left = divmod(BYTES_PER_FRAME[speed], each)
    return FrameRow(payload, count, left, count * payload * FRAMES_PER_S[speed])


def ceiling(speed: Speed, transfer: Transfer, payload: int) -> int:
    """Payload bytes each second that the protocol allows, whole transactions in each (micro)frame."""
    return transactions(speed, transfer, payload).bytes_per_s


def seconds_per_byte(speed: Speed, transfer: Transfer, payload: int) -> float:
    """Bus time of a payload byte, seconds, where only whole transactions fit: the inverse of the ceiling."""
    return 1.0 / ceiling(speed, transfer, payload)
