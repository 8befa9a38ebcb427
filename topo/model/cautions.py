"""The cautions printed wherever the tool speaks of power. Common practice unless a source is named."""

from __future__ import annotations

CAUTIONS: tuple[str, ...] = (
    "Never open a mains supply; set its volts only by what its maker put outside the case. Outdoors use an outlet with "
    "a residual-current device and test its button.",
    "Fuse at the battery's positive pole, sized to the thinnest wire after it (33 CFR 183.455 for small craft).",
    "Check polarity and volts of every plug with a meter, under load, before first use; never feed one line from two "
    "supplies.",
    "Local electrical rules come first, and fixed or mains wiring is for a licensed electrician. These figures are "
    "arithmetic on what you typed, not an inspection.",
)
"""Whole sentences, in the order they are printed."""

SHORT = (
    "Mains supplies stay closed; fuse at the battery; check polarity by meter; follow local codes, and leave mains "
    "wiring to licensed people."
)
"""One sentence for places with little room."""

POWER_UNITS = ("A", "mA", "V", "W", "Wh", "Ah")
"""A figure in one of these speaks of power."""

POWER_WORDS = r"\b(12 V|supply|supplies|volts|fuses?|amps|mA|currents?|is drawn|channel of a box)\b"
"""A text with one of these words speaks of power, and the cautions stand below it."""
