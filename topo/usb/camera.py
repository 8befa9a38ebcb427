"""How many bytes a camera's frame has, and how many frames a second it hands out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.model.facts import value_of

if TYPE_CHECKING:
    from topo.model.records import DeviceFacts, UseFacts

ASSUMED_SAMPLE_BITS = 16
"""What cameras of the trade send by default: samples padded to 16 bits (common practice, no source)."""


def sample_bits(facts: DeviceFacts, use: UseFacts) -> int:
    """Bits of a sample tonight: what the person set, else what the camera sends, else 16."""
    return int(value_of(use.sample_bits) or value_of(facts.sample_bits) or ASSUMED_SAMPLE_BITS)


def bytes_of_samples(count: int, bits: int, packed: bool) -> int:
    """Bytes of `count` samples: 8 bits or fewer take one byte, more take whole 16-bit words, unless packed."""
    if packed:
        return math.ceil(count * bits / 8)
    return count * (1 if bits <= 8 else 2 * math.ceil(bits / 16))


def field_px(facts: DeviceFacts, use: UseFacts) -> tuple[int, int] | None:
    """Width and height of what is read of the sensor, in unbinned pixels; None where the frame size is not known."""
    width, height = value_of(facts.width_px), value_of(facts.height_px)
    if width is None or height is None:
        return None
    if (roi := value_of(use.roi)) is not None:
        wide, high = (int(side) for side in roi.split("x"))
        return max(1, min(width, wide)), max(1, min(height, high))
    return width, height


def binned_frame_bytes(facts: DeviceFacts, use: UseFacts) -> int | None:
    """Bytes of one frame: ceil(width/bin) x ceil(height/bin) samples. None where the frame size is not known."""
    field = field_px(facts, use)
    if field is None:
        return None
    width, height = field
    factor = int(value_of(use.bin, 1))
    count = math.ceil(width / factor) * math.ceil(height / factor)
    return bytes_of_samples(count, sample_bits(facts, use), bool(value_of(facts.packed, False)))


def frames_per_s(facts: DeviceFacts, use: UseFacts, frame_bytes: int, cap_bytes_per_s: float) -> float | None:
    """Frames a second of a video stream: the rate asked for, else the least of what exposure, sensor and readout give.

    None where nothing bounds it, so that the camera asks for all the link gives.
    """
    if (asked := value_of(use.fps)) is not None:
        return asked
    bounds = []
    if (exposure := value_of(use.exposure_s)) is not None:
        bounds.append(1.0 / (exposure + (value_of(use.gap_s) or 0.0)))
    if (most := value_of(facts.max_fps)) is not None:
        bounds.append(most)
    if math.isfinite(cap_bytes_per_s):
        bounds.append(cap_bytes_per_s / frame_bytes)
    return min(bounds, default=None)
