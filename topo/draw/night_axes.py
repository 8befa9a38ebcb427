"""Axes of the sheet of a night, placed in pixels from its top left."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from topo.draw.strip import STRIP_WIDTH


def placed(figure: Any, box: Sequence[float], high: float) -> Any:
    """Axes with frame and ticks at left, top, width and height in pixels of a sheet `high` pixels high."""
    left, top, width, height = box
    axes = figure.add_axes((left / STRIP_WIDTH, 1.0 - (top + height) / high, width / STRIP_WIDTH, height / high))
    axes.tick_params(length=3, width=0.8, labelsize=8)
    return axes
