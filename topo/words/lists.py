"""Names and counts in a sentence. Every name is made safe to show."""

from __future__ import annotations

from collections.abc import Sequence

from topo.model.plain import plain


def listed(names: Sequence[str], most: int = 8) -> str:
    """Names in a sentence: "a, b and c"; past `most` the rest is counted: "a, b and 7 more"."""
    if len(names) > most or len(names) < 2:
        return some_of(names, most)
    *first, last = (plain(name) for name in names)
    return f"{', '.join(first)} and {last}"


def some_of(names: Sequence[str], most: int) -> str:
    """Names in a row: "a, b, c"; past `most` the rest is counted."""
    shown = ", ".join(plain(name) for name in names[:most])
    return shown if len(names) <= most else f"{shown} and {len(names) - most} more"


def with_small_ones(names: Sequence[str], small: int, most: int) -> str:
    """Names in a row, and how many are too small to matter: `a, b and 27 small ones`."""
    if not small:
        return some_of(names, most)
    return f"{some_of(names, most)} and {small} small one{'s' if small > 1 else ''}"


def of_100(share: float) -> str:
    """How often, from a share between 0 and 1: `86 of 100`, `all`, `fewer than 1 of 100`."""
    count = round(100.0 * share)
    return "all" if count >= 100 else f"{count} of 100" if count else "fewer than 1 of 100"


def capital(words: str) -> str:
    """A sentence's first letter made a capital, and no other touched."""
    return words[:1].upper() + words[1:]


def counted(count: int, what: str) -> str:
    """`1 fault`, `2 faults`, `3 guesses`."""
    ending = "" if count == 1 else "es" if what.endswith(("s", "x", "ch", "sh")) else "s"
    return f"{count} {what}{ending}"
