"""Figures in the words that pictures use. Units are always written; what is not known is an empty text."""

from __future__ import annotations

import math

from topo.model.facts import Range3, value_of
from topo.model.night import NEVER_WORDS
from topo.model.outcome import LinkOutcome
from topo.model.plain import plain
from topo.model.records import CableFacts
from topo.words.glossary import ASKED, CARRIES

SEPARATOR = " · "


def length_text(cable: CableFacts) -> str:
    """Length and grade of a cable as far as they are known: `1.2 m`, `1.2 m USB 2`, `3 m active`."""
    words = [] if cable.length_m is None else [f"{cable.length_m.value:g} m"]
    words += ["USB 2"] if value_of(cable.grade) == "usb2" else []
    words += ["active"] if value_of(cable.active) else []
    return " ".join(words)


def share_text(share: float) -> str:
    """A share of a link's time as a percentage: `41 %`, `under 1 %`."""
    if 0 < share < 0.01:
        return "under 1 %"
    return f"{share * 100:.0f} %"


def room_text(link: LinkOutcome, loud: bool) -> str:
    """What room a link has left while everything on it runs at once: `29 of 42 MB/s free`. A link that downloads fill
    is well used, and that is said calmly unless the first finding is about it."""
    whole = link.expected_mb_per_s.likely
    left = whole - link.asked_mb_per_s
    if left > 0.02 * whole and link.load_peak < 0.98:
        return f"{_digits(left)} of {_digits(whole)} MB/s free"
    if loud:
        return f"{_digits(link.asked_mb_per_s)} MB/s {ASKED}, {CARRIES} {_digits(whole)}"
    alone = len(link.carries) == 1
    return f"no room while {plain(link.carries[0])} downloads" if alone else "no room while all download"


def seconds_text(seconds: Range3 | float) -> str:
    """A time, or a range of times: `0.05 s`, `1.2 to 1.6 s`; words for what never comes."""
    if math.isinf(seconds.high if isinstance(seconds, Range3) else seconds):
        return NEVER_WORDS
    if isinstance(seconds, Range3):
        low, high = _digits(seconds.low), _digits(seconds.high)
        return f"{low} s" if low == high else f"{low} to {high} s"
    return f"{_digits(seconds)} s"


def bytes_text(count: float) -> str:
    """An amount of data in MB or kB of 10^6 and 10^3 bytes."""
    return f"{_digits(count / 1e6)} MB" if count >= 1e5 else f"{_digits(count / 1e3)} kB"


def _digits(value: float) -> str:
    if value == 0 or abs(value) >= 100:
        return f"{value:.0f}"
    return f"{float(f'{value:.2g}'):g}"


def joined(*words: str) -> str:
    """The texts that are not empty, with a dot between."""
    return SEPARATOR.join(word for word in words if word)


UNITS = ("%", "s", "m", "MB", "kB", "Mb/s", "Gb/s", "MB/s", "baud", "AWG", "A", "V", "mA")
"""Units as written here: a line is never broken between a figure and one of these."""
