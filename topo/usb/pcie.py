"""What a controller's PCI Express link carries: line rate, coding, and the overhead of each packet."""

from __future__ import annotations

import math
import re

LANE_MB_PER_S = {1: 250.0, 2: 500.0, 3: 8000 * 128 / 130 / 8, 4: 16_000 * 128 / 130 / 8, 5: 32_000 * 128 / 130 / 8}
"""MB/s of one lane, by generation: 2.5 and 5 GT/s with 8b/10b, then 8, 16, 32 GT/s with 128b/130b coding."""

USUAL_PAYLOAD = 128
"""Bytes of payload in a packet: the default maximum; 256 is common where both ends allow it."""

PACKET_OVERHEAD = 24
"""Framing, sequence, header and CRC of a packet: 20 to 28 bytes (processor makers' documents)."""

MOST_MB_PER_S = 1e6
"""A figure that no link of a computer comes near: a slip of the unit."""

_WORD = re.compile(r"pcie([1-5])x(1|2|4|8|16)")


def uplink_mb_per_s(word: str | float, payload: int = USUAL_PAYLOAD, overhead: int = PACKET_OVERHEAD) -> float:
    """Payload a link carries one way, MB/s, from a word such as `pcie2x1`, or the figure itself.

    Lane rate x lanes x payload / (payload + overhead), payload and overhead in bytes of a packet. Acknowledgement and
    flow-control packets take a little more and are not counted. Raises ValueError for another word, for a figure that
    is no rate, and for a payload below 1 or an overhead below 0.
    """
    if payload < 1 or overhead < 0:
        raise ValueError(f"an uplink's packets carry at least 1 byte, not {payload} with {overhead} of overhead")
    match = _WORD.fullmatch(str(word))
    if match:
        generation, lanes = int(match[1]), int(match[2])
        return LANE_MB_PER_S[generation] * lanes * payload / (payload + overhead)
    try:
        figure = math.nan if isinstance(word, bool) else float(word)
    except ValueError:
        raise ValueError(
            f"{word!r} is no uplink: give pcie<generation>x<lanes> with generation 1 to 5 and 1, 2, 4, 8 or 16 lanes, "
            "such as pcie2x1, or a figure in MB/s"
        ) from None
    if not 0 < figure < MOST_MB_PER_S:
        raise ValueError(f"an uplink of {word} MB/s cannot be: give a figure above 0 and below {MOST_MB_PER_S:,.0f}")
    return figure
