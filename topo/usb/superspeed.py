"""What SuperSpeed links carry: from the line rate, through coding and framing, to payload. Step by step.

From the USB 3.2 specification, chapters 6 and 7. Figures marked 'from memory' were not read again in a copy of it; all
of them together move the result by less than 4 %. What hosts deliver is lower still, and lives in `delivered`.
"""

from __future__ import annotations

from topo.frozen import frozen

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
"""Start, CRC-32 and end of a data packet payload, 4 symbols each (USB 3.2 7.2.1.2)."""

LINK_COMMAND_SYMBOLS = 8
"""Each header received is answered by LGOOD and LCRD the other way (USB 3.2 7.2.2; pairing from memory)."""

GEN1_SKIP_SHARE = 2 / 356
"""Two skip symbols for every 354 symbols (USB 3.2 6.4.3, from memory)."""

GEN2_SKIP_SHARE = 1 / 41
"""About one block in 41 (USB 3.2 6.4.3, from memory)."""


@frozen
class Step:
    """One step from the line rate to payload: what comes off, MB/s left after it, and where the figure is from."""

    what: str
    mb_per_s: float
    source: str


def steps(generation: int, lanes: int = 1, payload: int = PAYLOAD_BYTES) -> tuple[Step, ...]:
    """Every step from the line rate to the payload a link carries one way, in data packets of `payload` bytes.

    Generation 1 is 5 Gb/s a lane, 2 is 10 Gb/s; lanes 1 or 2. What two lanes lose to keeping in step is not counted.
    Raises ValueError for other links, and for a payload outside 1 to 1,024 bytes.
    """
    if generation not in (1, 2) or lanes not in (1, 2):
        raise ValueError(f"USB 3.2 links are of generation 1 or 2 with 1 or 2 lanes, not {generation} with {lanes}")
    if not 1 <= payload <= PAYLOAD_BYTES:
        raise ValueError(f"a SuperSpeed data packet carries 1 to {PAYLOAD_BYTES} bytes, not {payload}")
    return _gen1_steps(lanes, payload) if generation == 1 else _gen2_steps(lanes, payload)


def _gen1_steps(lanes: int, payload: int) -> tuple[Step, ...]:
    coded = GEN1_LANE_MB_PER_S * lanes
    packet = HEADER_SYMBOLS + PAYLOAD_FRAMING_SYMBOLS + payload
    answered = packet + 2 * LINK_COMMAND_SYMBOLS
    return (
        Step("line rate, 5 Gb/s a lane", 625.0 * lanes, "USB 3.2 6.3"),
        Step("8b/10b coding", coded, "USB 3.2 6.3"),
        Step(f"packets: {payload} of {packet} symbols", coded * payload / packet, "USB 3.2 7.2.1.1, 7.2.1.2"),
        Step(
            "link commands that answer each acknowledgement", coded * payload / answered, "USB 3.2 7.2.2, from memory"
        ),
        Step(
            "2 skip symbols in 356",
            coded * payload / answered * (1 - GEN1_SKIP_SHARE),
            "USB 3.2 6.4.3, from memory",
        ),
    )


def _gen2_steps(lanes: int, payload: int) -> tuple[Step, ...]:
    coded = GEN2_LANE_MB_PER_S * lanes
    packet = GEN2_HEADER_SYMBOLS + PAYLOAD_FRAMING_SYMBOLS + payload
    return (
        Step("line rate, 10 Gb/s a lane", 1250.0 * lanes, "USB 3.2 6.3"),
        Step("128b/132b coding", coded, "USB 3.2 6.3"),
        Step(
            f"packets: {payload} of {packet} symbols",
            coded * payload / packet,
            "USB 3.2 7.2.1.1, 7.2.1.2; width of the length replica from memory",
        ),
        Step("1 skip block in 41", coded * payload / packet * (1 - GEN2_SKIP_SHARE), "USB 3.2 6.4.3, from memory"),
    )


def ceiling_mb_per_s(generation: int, lanes: int = 1, payload: int = PAYLOAD_BYTES) -> float:
    """Payload a link carries one way, MB/s: the last of the steps. Raises ValueError as `steps` does."""
    return steps(generation, lanes, payload)[-1].mb_per_s


def gen1_ceiling_mb_per_s() -> float:
    """Payload one 5 Gb/s lane carries one way, MB/s: 474.9.

    Data packets of 1,024 bytes back to back, with the two link commands that answer each acknowledgement of the other
    direction, less skip symbols.
    """
    return ceiling_mb_per_s(1)


def gen2_ceiling_mb_per_s() -> float:
    """Payload one 10 Gb/s lane carries one way, MB/s: 1,142.4. Link commands are not counted."""
    return ceiling_mb_per_s(2)
