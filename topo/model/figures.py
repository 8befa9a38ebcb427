"""Figures in words: seconds, rates, sizes, angles, shares and ranges, with the digits that mean something.

Every figure a person reads goes through here, so that the same figure looks the same everywhere. No layout.
"""

from __future__ import annotations

import math

from topo.model.facts import Figure, Range3
from topo.model.night import NEVER_WORDS

UNKNOWN = "not known"
_SINGLE_DIGITS = 3
_COUNTED = {"times": "time", "questions": "question", "parts": "part", "frames": "frame", "plugs": "plug"}
_RANGE_DIGITS = 2


def number(value: float, digits: int = _SINGLE_DIGITS) -> str:
    """A number with that many significant digits, no exponent and no trailing zeros; whole digits are never dropped."""
    if math.isnan(value):
        return UNKNOWN
    if math.isinf(value):
        return "no limit"
    size = abs(value)
    if size == 0:
        return "0"
    if size < 0.0001:
        return "< 0.0001" if value > 0 else "0"
    text = f"{value:.{_decimals(size, digits)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def amount(value: float | Range3 | None, unit: str) -> str:
    """A figure with its unit, in the unit that reads best (0.054 s becomes 54 ms, 5000 Mb/s becomes 5 Gb/s)."""
    if value is None:
        return UNKNOWN
    if isinstance(value, Range3):
        return range_words(value, unit)
    if math.isnan(value):
        return UNKNOWN
    if math.isinf(value):
        return _endless(unit)
    factor, shown = _best_unit(unit, abs(value))
    digits = number(value * factor) if factor != 1 or not isinstance(value, int) else str(value)
    return _joined(digits, shown)


def range_words(value: Range3, unit: str) -> str:
    """A range as `1.2–1.4 s (likely 1.3)`; a single figure where its ends look the same."""
    if any(math.isnan(end) for end in value):
        return UNKNOWN
    if math.isinf(value.high):
        return _endless(unit) if math.isinf(value.low) else f"{amount(value.low, unit)} or {_endless(unit)}"
    factor, shown = _best_unit(unit, abs(value.high))
    for digits in (_SINGLE_DIGITS,) if shown == "V" else (_RANGE_DIGITS, _SINGLE_DIGITS):
        low, likely, high = _alike(value.scaled(factor), digits)
        if low != high:
            return f"{_joined(f'{low}–{high}', shown)} (likely {likely})"
    return _joined(number(value.likely * factor), shown)


def seconds(value: float | Range3 | None) -> str:
    """Seconds; milliseconds below 1 s, minutes from 10 minutes on."""
    return amount(value, "s")


def megabytes(size_bytes: float | None) -> str:
    """Bytes as MB of 10^6 bytes (kB where that reads better)."""
    return amount(None if size_bytes is None else size_bytes / 1e6, "MB")


def mb_per_s(value: float | Range3 | None) -> str:
    """MB/s of 10^6 bytes; kB/s and B/s for slow lines."""
    return amount(value, "MB/s")


def mbit(value: float | None) -> str:
    """A signalling rate in Mb/s, or Gb/s from 1000 on."""
    return amount(value, "Mb/s")


def arcsec(value: float | Range3 | None) -> str:
    """Arcseconds, spelled out, since the sign for them is lost on many terminals."""
    return amount(value, "arcsec")


def percent(share: float | None) -> str:
    """A share between 0 and 1 as a percentage; only what is full is called 100 %."""
    if share is None or math.isnan(share):
        return UNKNOWN
    value = 100.0 * share
    if 0 < value < 0.1:
        return "< 0.1 %"
    if 99.5 <= value < 99.95:
        return "> 99 %"
    return f"{number(value, 2)} %"


def figure_words(figure: Figure) -> str:
    """The value of a figure with its unit. Text comes as it is: whoever prints it escapes it."""
    if isinstance(figure.value, str):
        return f"{figure.value} {figure.unit}".strip()
    is_share = figure.unit == "" and figure.name.startswith(("chance", "share"))
    if is_share and isinstance(figure.value, int | float):
        return percent(figure.value)
    return amount(figure.value, figure.unit)


def _alike(value: Range3, digits: int) -> tuple[str, str, str]:
    """The ends of a range with the same decimals, unless one is so much smaller that it would vanish."""
    if value.low < value.high / 10 or value.high < 0.0001:
        return number(value.low, digits), number(value.likely, digits), number(value.high, digits)
    decimals = _decimals(value.high, digits)
    low, likely, high = (f"{end:.{decimals}f}" for end in value)
    if decimals and all(text.endswith("." + "0" * decimals) for text in (low, likely, high)):
        return low[: -decimals - 1], likely[: -decimals - 1], high[: -decimals - 1]
    return low, likely, high


def _decimals(size: float, digits: int) -> int:
    """Decimals that give so many significant digits."""
    return max(0, digits - 1 - math.floor(math.log10(size)))


def _joined(digits: str, unit: str) -> str:
    one = digits == "1" and unit in _COUNTED
    return f"{digits} {_COUNTED[unit] if one else unit}" if unit else digits


def _endless(unit: str) -> str:
    return NEVER_WORDS if unit == "s" else "no limit"


def _best_unit(unit: str, size: float) -> tuple[float, str]:
    """The factor and unit in which a figure of that size reads best."""
    if size == 0:
        return 1.0, unit
    for at_least, factor, shown in _UNITS.get(unit, ()):
        if size >= at_least:
            return factor, shown
    return 1.0, unit


_UNITS: dict[str, tuple[tuple[float, float, str], ...]] = {
    "s": ((600.0, 1 / 60, "min"), (0.9995, 1.0, "s"), (0.0, 1e3, "ms")),
    "MB": ((999.5, 1e-3, "GB"), (0.0995, 1.0, "MB"), (0.0, 1e3, "kB")),
    "kB": ((999.5, 1e-3, "MB"), (0.0, 1.0, "kB")),
    "MB/s": ((9999.5, 1e-3, "GB/s"), (0.0995, 1.0, "MB/s"), (0.0009995, 1e3, "kB/s"), (0.0, 1e6, "B/s")),
    "Mb/s": ((999.5, 1e-3, "Gb/s"), (0.0, 1.0, "Mb/s")),
}
"""For each unit of the model: from which size on which factor and unit. Largest first."""
