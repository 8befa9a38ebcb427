"""Units of keys, in words; and what a person meant who wrote a unit beside the number, or in the key.

Prefixes are those of the SI; a byte count in KiB or MiB is a power of 1024 (IEC 80000-13). 1 in = 25.4 mm exactly.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

# Longest ending first. (ending of the key, words, dimension, size of the key's unit in the base of the dimension)
_KEYS: tuple[tuple[str, str, str, float], ...] = (
    ("_mb_per_s", "megabytes per second (MB/s)", "rate", 1e6),
    ("mb_per_s", "megabytes per second (MB/s)", "rate", 1e6),
    ("_bytes_per_ms", "bytes per millisecond", "rate", 1e3),
    ("_arcsec_per_s", "arcseconds per second", "drift", 1),
    ("_per_s", "times per second", "frequency", 1),
    ("_fps", "frames per second", "frequency", 1),
    ("fps", "frames per second", "frequency", 1),
    ("_px", "pixels", "pixels", 1),
    ("_bits", "bits", "bits", 1),
    ("_mb", "megabytes (MB)", "data", 1e6),
    ("_kb", "kilobytes (kB)", "data", 1e3),
    ("_ms", "milliseconds", "time", 1e-3),
    ("_ma", "milliamperes (mA)", "current", 1e-3),
    ("_milliohm", "milliohms", "resistance", 1e-3),
    ("_mm2", "square millimetres (mm²)", "area", 1),
    ("_percent", "percent", "percent", 1),
    ("_hours", "hours", "time", 3600),
    ("_years", "years", "years", 1),
    ("_h", "hours", "time", 3600),
    ("_arcsec", "arcseconds", "angle", 1),
    ("_awg", "a wire gauge (AWG)", "gauge", 1),
    ("_celsius", "degrees Celsius", "temperature", 1),
    ("_s", "seconds", "time", 1),
    ("_m", "metres", "length", 1),
    ("volts_min", "volts", "voltage", 1),
    ("volts_max", "volts", "voltage", 1),
    ("volts", "volts", "voltage", 1),
    ("_min", "minutes", "time", 60),
    ("hours", "hours", "time", 3600),
    ("_amps", "amperes", "current", 1),
    ("amps_idle", "amperes", "current", 1),
    ("amps_typical", "amperes", "current", 1),
    ("amps_peak", "amperes", "current", 1),
    ("amps", "amperes", "current", 1),
    ("cut_off_volts", "volts", "voltage", 1),
    ("amps_at_volts", "volts", "voltage", 1),
    ("ah", "ampere-hours (Ah)", "charge", 1),
    ("baud", "baud", "baud", 1),
    ("_bytes", "bytes", "data", 1),
    ("bytes_out", "bytes", "data", 1),
    ("bytes_in", "bytes", "data", 1),
)

_UNITS: dict[str, dict[str, float]] = {
    "length": {
        **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1.0),
        **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeters"), 0.01),
        **dict.fromkeys(("mm", "millimetres", "millimeters"), 0.001),
        **dict.fromkeys(("ft", "foot", "feet", "'", "′"), 0.3048),
        **dict.fromkeys(("in", "inch", "inches", '"', "″"), 0.0254),
    },
    "time": {
        **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1.0),
        **dict.fromkeys(("ms", "msec", "millisecond", "milliseconds"), 1e-3),
        **dict.fromkeys(("us", "µs", "μs"), 1e-6),
        **dict.fromkeys(("min", "mins", "minute", "minutes"), 60.0),
        **dict.fromkeys(("h", "hr", "hour", "hours"), 3600.0),
    },
    "current": {**dict.fromkeys(("A", "a", "amp", "amps", "ampere", "amperes"), 1.0), "mA": 1e-3, "ma": 1e-3},
    "voltage": {**dict.fromkeys(("V", "v", "volt", "volts", "VDC", "Vdc"), 1.0), "mV": 1e-3},
    "data": {
        **dict.fromkeys(("B", "byte", "bytes"), 1.0),
        **dict.fromkeys(("kB", "KB", "kb"), 1e3),
        **dict.fromkeys(("MB", "mb"), 1e6),
        "GB": 1e9,
        "KiB": 1024.0,
        "MiB": 1024.0**2,
        "GiB": 1024.0**3,
    },
    "rate": {
        **dict.fromkeys(("B/s",), 1.0),
        **dict.fromkeys(("kB/s", "KB/s"), 1e3),
        **dict.fromkeys(("MB/s", "MBps"), 1e6),
        **dict.fromkeys(("GB/s", "GBps"), 1e9),
        **dict.fromkeys(("Mb/s", "Mbit/s", "Mbps"), 1e6 / 8),
        **dict.fromkeys(("Gb/s", "Gbit/s", "Gbps"), 1e9 / 8),
        "KiB/s": 1024.0,
        "MiB/s": 1024.0**2,
        "GiB/s": 1024.0**3,
    },
    "pixels": dict.fromkeys(("px", "pixel", "pixels"), 1.0),
    "bits": {**dict.fromkeys(("bit", "bits", "b"), 1.0), **dict.fromkeys(("byte", "bytes"), 8.0)},
    "resistance": {"ohm": 1.0, "Ω": 1.0, "mohm": 1e-3, "mΩ": 1e-3, "milliohm": 1e-3},
    "area": dict.fromkeys(("mm2", "mm²", "sqmm"), 1.0),
    "percent": dict.fromkeys(("%", "percent"), 1.0),
    "years": dict.fromkeys(("y", "year", "years"), 1.0),
    "gauge": dict.fromkeys(("awg", "AWG", "ga", "gauge"), 1.0),
    "temperature": dict.fromkeys(("C", "°C", "degC", "°"), 1.0),
    "charge": dict.fromkeys(("Ah", "ah", "AH"), 1.0),
    "baud": {**dict.fromkeys(("baud", "Bd", "bd", "bps"), 1.0), "kbaud": 1000.0},
    "frequency": dict.fromkeys(("fps", "Hz", "hz", "/s", "per s", "per second"), 1.0),
    "angle": {
        **dict.fromkeys(("arcsec", '"', "″", "''", "arcseconds"), 1.0),
        **dict.fromkeys(("arcmin", "'", "′", "arcminutes"), 60.0),
    },
    "drift": dict.fromkeys(("arcsec/s", '"/s', "″/s", "''/s", "as/s"), 1.0),
}

_QUANTITY = re.compile(r"([+-]?(?:\d{1,12}(?:[.,]\d{0,12})?|[.,]\d{1,12}))\s*(\S.{0,20})?")
_FRACTION = re.compile(r"(\d{1,6})\s*/\s*(\d{1,6})\s*(s|sec)?")
# Words for the end of a key that name a unit this tool does not use there: `length_cm`, `exposure_min`.
_KEY_ENDINGS = {
    "cm": "cm", "mm": "mm", "ft": "ft", "feet": "ft", "in": "in", "inch": "in", "metres": "m", "meters": "m", "m": "m",
    "s": "s", "sec": "s", "secs": "s", "seconds": "s", "ms": "ms", "us": "us", "min": "min", "minutes": "min", "h": "h",
    "ma": "mA", "a": "A", "amps": "A", "v": "V", "volts": "V", "mv": "mV", "kb": "kB", "mb": "MB", "gb": "GB",
    "kib": "KiB", "mib": "MiB", "bytes": "B", "mbit": "Mb/s", "mbps": "Mb/s", "awg": "awg", "px": "px", "bits": "bits",
}  # fmt: skip


def unit_of(key: str) -> str:
    """The unit of a key in words, or nothing for a key that has none."""
    found = _key(key)
    return found[1] if found else ""


def rewritten(key: str, value: str, unit: str = "") -> str | None:
    """The number to write for a value with a unit, a decimal comma or a fraction. None where one cannot tell."""
    text = value.strip()
    found = _key(key)
    if found is not None and found[2] == "time" and (parts := _FRACTION.fullmatch(text)) and int(parts[2]):
        return _number(int(parts[1]) / int(parts[2]) / found[3])
    match = _QUANTITY.fullmatch(text)
    if match is None:
        return None
    digits, written = match[1], (match[2] or unit).strip()
    if "," in digits and re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", digits):
        return None  # '1,200' is 1.2 to some and 1200 to others
    number = float(digits.replace(",", "."))
    if not written:
        return _number(number)
    if found is None:
        return None
    size = _UNITS.get(found[2], {}).get(written)
    return None if size is None else _number(number * size / found[3])


def same_quantity(unknown: str, known: Iterable[str]) -> tuple[str, str] | None:
    """For a key with a wrong or missing unit (`length`, `length_cm`): the key that is meant, and the unit written."""
    stem, _, ending = unknown.lower().replace("-", "_").rpartition("_")
    written = _KEY_ENDINGS.get(ending, "")
    stems = (stem,) if stem and written else ()
    for key in known:
        bare = _stem(key)
        if bare is not None and bare in (*stems, unknown.lower()):
            return key, written if bare in stems else ""
    return next(((key, "") for key in known if _alone(key) == unknown.lower()), None)


def _stem(key: str) -> str | None:
    found = _key(key)
    if found is None or not found[0].startswith("_"):
        return None
    return key.removesuffix(found[0])


def _alone(key: str) -> str | None:
    """The unit a key ends in, as a word that may stand for the key: `awg` for gauge_awg."""
    return "awg" if key.endswith("_awg") else "mbps" if key == "mb_per_s" else None


def _key(key: str) -> tuple[str, str, str, float] | None:
    return next((row for row in _KEYS if key == row[0] or (row[0][0] == "_" and key.endswith(row[0]))), None)


def _number(value: float) -> str:
    return f"{value:.10g}"
