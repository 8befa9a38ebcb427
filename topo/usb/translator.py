"""What slow devices behind a hub's transaction translator cost: on its full-speed side, and on the bus above."""

from __future__ import annotations

import math

from topo.model.speed import Speed
from topo.usb.frames import BYTES_PER_FRAME, FRAMES_PER_S, MAX_PAYLOAD, OVERHEAD_BYTES, Transfer

FULL_SPEED_BUDGET_BYTES = 1157
"""Bytes of a full-speed frame that periodic transfers may take, overhead included: 1500 x 0.9 x 6/7 (USB 2.0 11.18.1).
A limit of the schedule; bulk transfers use what is left and are not held to it."""

FULL_SPEED_BYTES_PER_MICROFRAME = 188
"""Full-speed bytes in a microframe: 1500/8, rounded up (USB 2.0 11.18.1)."""

TRANSLATOR_BUS_BYTES = 500
"""Bytes a microframe a controller's accounting takes for an active translator with periodic endpoints (kernel source:
31 + 94 blocks of 4 bytes), once for the translator, not for each device: 6.67 % of the 7,500 a microframe holds, 7.8 %
of what is left after worst-case stuffing (1,607 blocks)."""

BUS_BYTES_AFTER_STUFFING = 1607 * 4
"""What the same accounting has to give away in a microframe: 7500 x 6/7, in whole blocks of 4 bytes."""

SPLITS_OF_A_BULK_PACKET = 2
"""A start-split and a complete-split for each slow bulk packet (USB 2.0 11.17)."""


def split_bus_seconds_per_byte(packet: int) -> float:
    """High-speed bus time of a payload byte that goes through a translator in packets of `packet` bytes, seconds.

    Each packet crosses the high-speed bus once, with the overhead of two high-speed bulk transactions. Counted token by
    token a packet of 64 bytes takes 2 % more inward and 12 % more outward. Splits that find the translator busy come
    on top and are not counted. Raises ValueError for a packet outside 1 to 64 bytes.
    """
    most = MAX_PAYLOAD[Speed.FULL, Transfer.BULK]
    if not 1 <= packet <= most:
        raise ValueError(f"a full-speed bulk packet is 1 to {most} bytes, not {packet}")
    overhead = SPLITS_OF_A_BULK_PACKET * OVERHEAD_BYTES[Speed.HIGH, Transfer.BULK]
    return (overhead + packet) / packet / (BYTES_PER_FRAME[Speed.HIGH] * FRAMES_PER_S[Speed.HIGH])


def best_case_budget(frame_bytes: int = FULL_SPEED_BUDGET_BYTES) -> tuple[int, ...]:
    """Full-speed bytes in each of a frame's eight microframes when they come as early as they may (figure 11-60).

    1,157 bytes are six times 188, then 29, then none. Raises ValueError for more than the budget of a frame.
    """
    if not 0 <= frame_bytes <= FULL_SPEED_BUDGET_BYTES:
        raise ValueError(f"periodic transfers take 0 to {FULL_SPEED_BUDGET_BYTES} bytes a frame, not {frame_bytes}")
    slot = FULL_SPEED_BYTES_PER_MICROFRAME
    return tuple(min(slot, max(0, frame_bytes - slot * index)) for index in range(8))


def isochronous_splits(payload: int, *, inward: bool) -> int:
    """Splits on the high-speed bus for one full-speed isochronous packet (USB 2.0 11.18.4).

    Out: a start-split for each 188 bytes. In: one start-split, then a complete-split for each microframe the data
    takes and two more, as the kernel schedules them. Raises ValueError for a payload outside 1 to 1,023 bytes.
    """
    most = MAX_PAYLOAD[Speed.FULL, Transfer.ISOCHRONOUS]
    if not 1 <= payload <= most:
        raise ValueError(f"a full-speed isochronous payload is 1 to {most} bytes, not {payload}")
    pieces = math.ceil(payload / FULL_SPEED_BYTES_PER_MICROFRAME)
    return 1 + pieces + 2 if inward else pieces


def exchange_frame_share(bytes_out: int, bytes_in: int) -> float:
    """Full-speed frames that one question and its answer on a serial adapter take on the translator's slow side.

    Each goes in bulk packets of at most 64 bytes, with 13 bytes of overhead each. Polls a second times this, divided by
    1,000 frames, is the share of the translator. An adapter that is asked in vain (NAK) costs more; not counted.
    """
    if bytes_out < 0 or bytes_in < 0:
        raise ValueError(f"a poll has 0 bytes or more each way, not {bytes_out} and {bytes_in}")
    most, overhead = MAX_PAYLOAD[Speed.FULL, Transfer.BULK], OVERHEAD_BYTES[Speed.FULL, Transfer.BULK]
    taken = sum(size + overhead * math.ceil(size / most) for size in (bytes_out, bytes_in))
    return taken / BYTES_PER_FRAME[Speed.FULL]


def serial_line_bytes_per_s(baud: float, bits_per_byte: int = 10) -> float:
    """Bytes a second of a serial line: start bit, 8 data bits and stop bit make 10 bits a byte. Raises ValueError."""
    if not baud > 0 or bits_per_byte < 1:
        raise ValueError(f"a serial line has a baud rate above 0, not {baud}")
    return baud / bits_per_byte
