"""Figures for JSON: so many digits, null for what is not known or has no end."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from topo.model.facts import Range3

DIGITS = 6
"""Significant digits of every figure: more than anything is known to, fewer than processors differ in."""


def rounded(value: float | None) -> float | int | None:
    """A figure to 6 significant digits; whole figures as whole numbers; None for what is no number or has no end."""
    if value is None or not math.isfinite(value):
        return None
    if isinstance(value, int):
        return int(value)
    short = float(f"{value:.{DIGITS}g}")
    return int(short) if short.is_integer() and abs(short) < 1e15 else short


def ranged(value: Range3 | None) -> list[float | int | None] | None:
    """[low, likely, high], or None."""
    return None if value is None else [rounded(end) for end in value]
