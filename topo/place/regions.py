"""Smaller regions of a stream's picture that are offered: from what is sent now down to the least."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.model.facts import value_of
from topo.usb.camera import field_px

if TYPE_CHECKING:
    from collections.abc import Iterator

    from topo.model.rig import Device

STEP_PX = 16
"""Sides in steps that drivers take (common practice, no source: 4 to 16 pixels)."""

LEAST_PX = (320, 240)
"""The smallest region that is offered: in less a planet does not stay (common practice, no source)."""


def least_region(part: Device) -> str | None:
    """The smallest region offered of the shape that is sent now, as the file has it; None where that is no less, and of
    an all-sky camera, whose job is the whole of it."""
    field = field_px(part.facts, part.use)
    if field is None or value_of(part.facts.whole_sky, False):
        return None
    scale = max(least / side for least, side in zip(LEAST_PX, field, strict=True))
    sides = tuple(math.ceil(side * scale / STEP_PX - 1e-9) * STEP_PX for side in field)
    return _written(*sides) if all(side <= now for side, now in zip(sides, field, strict=True)) and (
        sides != field) else None


def region_of(part: Device, share: float) -> str | None:
    """The region of the same shape with no more than this share of the pixels; None where that is less than the least
    offered, or all there is."""
    field, least = field_px(part.facts, part.use), least_region(part)
    if field is None or least is None or not 0.0 < share < 1.0:
        return None
    sides = tuple(math.floor(side * math.sqrt(share) / STEP_PX + 1e-9) * STEP_PX for side in field)
    return _written(*sides) if all(a >= b for a, b in zip(sides, _read(least), strict=True)) else None


def regions_down_to(part: Device, region: str, steps: int) -> Iterator[str]:
    """Regions between what is sent now and a smaller one, the largest first, in up to so many even steps."""
    field, least = field_px(part.facts, part.use), _read(region)
    if field is None:
        return
    told: dict[str, None] = {}
    for number in range(1, steps):
        sides = (now + (then - now) * number / steps for now, then in zip(field, least, strict=True))
        whole = (max(math.floor(side / STEP_PX) * STEP_PX, then) for side, then in zip(sides, least, strict=True))
        told[_written(*whole)] = None
    yield from (each for each in told if each != region)


def _written(wide: int, high: int) -> str:
    return f"{wide}x{high}"


def _read(region: str) -> tuple[int, int]:
    wide, high = region.split("x")
    return int(wide), int(high)
