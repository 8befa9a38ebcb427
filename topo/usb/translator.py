"""What slow devices behind a hub's transaction translator cost: on its full-speed side, and on the bus above."""

from __future__ import annotations

from topo.model.speed import Speed
from topo.usb.frames import BYTES_PER_FRAME, FRAMES_PER_S, OVERHEAD_BYTES, Transfer

FULL_SPEED_BUDGET_BYTES = 1157
"""Bytes of a full-speed frame a translator may schedule: 1500 x 0.9 x 6/7 (USB 2.0 11.18.1)."""

FULL_SPEED_BYTES_PER_MICROFRAME = 188
"""Full-speed bytes in a microframe: 1500/8, rounded up (USB 2.0 11.18.1)."""

TRANSLATOR_BUS_BYTES = 500
"""Bytes a microframe a controller's accounting takes for an active translator with periodic endpoints (kernel source:
31 + 94 blocks of 4 bytes): 6.67 % of the 7,500 a microframe holds, 7.8 % of what is left after worst-case stuffing."""

SPLITS_OF_A_BULK_PACKET = 2
"""A start-split and a complete-split for each slow bulk packet (USB 2.0 11.17)."""


def split_bus_seconds_per_byte(packet: int) -> float:
    """High-speed bus time of a payload byte that goes through a translator in packets of `packet` bytes, seconds.

    Each packet crosses the high-speed bus once, with the overhead of two high-speed bulk transactions; splits that
    find the translator busy come on top and are not counted.
    """
    overhead = SPLITS_OF_A_BULK_PACKET * OVERHEAD_BYTES[Speed.HIGH, Transfer.BULK]
    return (overhead + packet) / packet / (BYTES_PER_FRAME[Speed.HIGH] * FRAMES_PER_S[Speed.HIGH])
