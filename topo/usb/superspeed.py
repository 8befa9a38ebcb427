"""What SuperSpeed links carry: from the line rate, through coding and framing, to payload. Step by step.

From the USB 3.2 specification, chapters 6 and 7; figures marked 'from memory' move the result by less than 1 %.
"""

from __future__ import annotations

PAYLOAD_BYTES = 1024
"""Largest data packet payload (USB 3.2 8.12.1.2)."""

GEN1_LANE_MB_PER_S = 5000 / 10
"""5 Gb/s with 8b/10b coding (USB 3.2 6.3): 500 MB/s."""

GEN2_LANE_MB_PER_S = 10_000 * 128 / 132 / 8
"""10 Gb/s with 128b/132b coding (USB 3.2 6.3): 1,212.12 MB/s."""

HEADER_SYMBOLS = 20
"""A header packet: 4 framing, 12 header, 2 CRC-16, 2 link control word (USB 3.2 7.2.1.1)."""

GEN2_HEADER_SYMBOLS = 24
"""The Gen 2 data packet header has its length twice more (USB 3.2 7.2.1.1; width of the replica from memory)."""

PAYLOAD_FRAMING_SYMBOLS = 12
"""Start, CRC-32 and end of a data packet payload (USB 3.2 7.2.1.2)."""

LINK_COMMAND_SYMBOLS = 8
"""Each header received is answered by LGOOD and LCRD the other way (USB 3.2 7.2.2; pairing from memory)."""

GEN1_SKIP_SHARE = 2 / 356
"""Two skip symbols for every 354 symbols (USB 3.2 6.4.3, from memory)."""

GEN2_SKIP_SHARE = 1 / 41
"""About one block in 41 (USB 3.2 6.4.3, from memory)."""


def gen1_ceiling_mb_per_s() -> float:
    """Payload one 5 Gb/s lane carries one way, MB/s: 474.9.

    Data packets of 1,024 bytes back to back, with the two link commands that answer each acknowledgement of the other
    direction, less skip symbols.
    """
    packet = HEADER_SYMBOLS + PAYLOAD_FRAMING_SYMBOLS + PAYLOAD_BYTES
    answered = packet + 2 * LINK_COMMAND_SYMBOLS
    return GEN1_LANE_MB_PER_S * PAYLOAD_BYTES / answered * (1 - GEN1_SKIP_SHARE)


def gen2_ceiling_mb_per_s() -> float:
    """Payload one 10 Gb/s lane carries one way, MB/s: 1,142.4."""
    packet = GEN2_HEADER_SYMBOLS + PAYLOAD_FRAMING_SYMBOLS + PAYLOAD_BYTES
    return GEN2_LANE_MB_PER_S * PAYLOAD_BYTES / packet * (1 - GEN2_SKIP_SHARE)
