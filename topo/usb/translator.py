"""What slow devices behind a hub's transaction translator cost: on its full-speed side, and on the bus above."""

from __future__ import annotations

import math

from topo.model.speed import Speed
from topo.usb.frames import BYTES_PER_FRAME, FRAMES_PER_S, MAX_PAYLOAD, OVERHEAD_BYTES, Transfer

FULL_SPEED_BYTES_PER_MICROFRAME = 188
"""Full-speed bytes in a microframe: 1500/8, rounded up (USB 2.0 11.18.1)."""

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


def exchange_frame_share(bytes_out: float, bytes_in: float) -> float:
    """Full-speed frames that one question and its answer on a serial adapter take on the translator's slow side.

    Each goes in bulk packets of at most 64 bytes, with 13 bytes of overhead each. Polls a second times this, divided by
    1,000 frames, is the share of the translator. An adapter that is asked in vain (NAK) costs more; not counted.
    """
    if bytes_out < 0 or bytes_in < 0:
        raise ValueError(f"a poll has 0 bytes or more each way, not {bytes_out} and {bytes_in}")
    most, overhead = MAX_PAYLOAD[Speed.FULL, Transfer.BULK], OVERHEAD_BYTES[Speed.FULL, Transfer.BULK]
    taken = math.fsum(size + overhead * math.ceil(size / most) for size in (bytes_out, bytes_in))
    return taken / BYTES_PER_FRAME[Speed.FULL]


def exchange_seconds_per_byte(bytes_out: float, bytes_in: float) -> tuple[float, float]:
    """What a byte of questions and answers takes: seconds of the translator's slow side, and of the bus above it.

    Short packets cost more a byte than full ones, on both. Raises ValueError for an exchange of no bytes.
    """
    size = bytes_out + bytes_in
    if not size > 0.0:
        raise ValueError(f"an exchange has some bytes, not {bytes_out} out and {bytes_in} in")
    most, overhead = MAX_PAYLOAD[Speed.FULL, Transfer.BULK], OVERHEAD_BYTES[Speed.HIGH, Transfer.BULK]
    packets = math.ceil(bytes_out / most) + math.ceil(bytes_in / most)
    above = SPLITS_OF_A_BULK_PACKET * overhead * packets + size
    return (
        exchange_frame_share(bytes_out, bytes_in) / FRAMES_PER_S[Speed.FULL] / size,
        above / (BYTES_PER_FRAME[Speed.HIGH] * FRAMES_PER_S[Speed.HIGH]) / size,
    )
