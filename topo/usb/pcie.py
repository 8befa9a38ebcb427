"""What a controller's PCI Express link carries: line rate, coding, and the overhead of each packet."""

from __future__ import annotations

import re

LANE_MB_PER_S = {1: 250.0, 2: 500.0, 3: 8000 * 128 / 130 / 8, 4: 16_000 * 128 / 130 / 8, 5: 32_000 * 128 / 130 / 8}
"""MB/s of one lane, by generation: 2.5 and 5 GT/s with 8b/10b, then 8, 16, 32 GT/s with 128b/130b coding."""

USUAL_PAYLOAD = 128
"""Bytes of payload in a packet: the default maximum; 256 is common where both ends allow it."""

PACKET_OVERHEAD = 24
"""Framing, sequence, header and CRC of a packet: 20 to 28 bytes (processor makers' documents)."""

_WORD = re.compile(r"pcie([1-5])x(1|2|4|8|16)")


def uplink_mb_per_s(word: str | float, payload: int = USUAL_PAYLOAD, overhead: int = PACKET_OVERHEAD) -> float:
    """Payload a link carries one way, MB/s, from a word such as `pcie2x1`, or the figure itself.

    Acknowledgement and flow-control packets take a little more and are not counted. Raises ValueError for another word.
    """
    match = _WORD.fullmatch(str(word))
    if match:
        generation, lanes = int(match[1]), int(match[2])
        return LANE_MB_PER_S[generation] * lanes * payload / (payload + overhead)
    try:
        figure = float(word)
    except ValueError:
        raise ValueError(f"{word!r} is no uplink: give pcie1x1 to pcie5x16, or a figure in MB/s") from None
    if not 0 < figure < 1e6:
        raise ValueError(f"an uplink of {figure} MB/s cannot be")
    return figure
