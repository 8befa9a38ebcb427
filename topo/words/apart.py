"""Figures that a sentence sets against each other: what is told as different has to read as different."""

from __future__ import annotations

MOST_DECIMALS = 9


def apart(value: float, other: float, decimals: int = 1, tells: str = "") -> str:
    """A figure to so many decimals, or to as many more as it takes to lie on the same side of the other as it does.

    The other is told as `tells` says, `{other:g}` where that is empty. Figures that are the same read the same.
    """
    beside = float(tells or f"{other:g}")
    for places in range(decimals, MOST_DECIMALS):
        text = f"{value:.{places}f}"
        if _side(float(text), beside) == _side(value, other):
            return text
    return f"{value:.{decimals}f}"


def _side(value: float, other: float) -> int:
    return (value > other) - (value < other)
