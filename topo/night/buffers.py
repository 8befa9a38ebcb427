"""How far a camera may fall behind its link before a frame has a hole: its memory, its buffer, or what is assumed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.model.facts import Range3, value_of
from topo.model.speed import Speed

if TYPE_CHECKING:
    from topo.model.records import DeviceFacts

SMALL_KB = Range3(2.0, 6.0, 16.0)
LARGE_KB = Range3(64.0, 180.0, 512.0)
"""What bridge chips of USB 2 and of USB 3 cameras keep, kB: from memory, verify. The middle is by logarithms."""


def buffer_bytes(facts: DeviceFacts, frame_bytes: float) -> Range3:
    """Bytes it may fall behind at the low, likely and high end of what is assumed; inf: it waits for ever.

    Where nobody says whether it has memory for a frame, it has none at the low end and in the likely case, and waits at
    the high end: a loss is then never certain.
    """
    memory = value_of(facts.frame_memory_mb)
    if memory is not None and memory * 1e6 >= frame_bytes:
        return Range3.of(math.inf)
    fifo = value_of(facts.fifo_kb)
    kept = Range3.of(fifo) if fifo is not None else _usual(facts)
    room = kept.scaled(1e3) + Range3.of((memory or 0.0) * 1e6)
    return room if memory is not None else Range3(room.low, room.likely, math.inf)


def _usual(facts: DeviceFacts) -> Range3:
    return LARGE_KB if Speed.from_word(value_of(facts.speed, "high")).is_superspeed else SMALL_KB


def knows_its_buffer(facts: DeviceFacts) -> bool:
    """Whether memory and buffer were both told, so that a loss can be certain."""
    return facts.frame_memory_mb is not None and facts.fifo_kb is not None
