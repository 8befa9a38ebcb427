"""The names that somebody may have meant by one that does not exist."""

from __future__ import annotations

from collections.abc import Iterable

LONGEST_NAME = 80
"""Characters of a wrong name that are compared: names that exist are shorter."""


def near_names(wrong: str, known: Iterable[str], most: int = 1, cutoff: float = 0.62) -> list[str]:
    """At most that many of the known names, the nearest first, none less alike than `cutoff` (0 to 1).

    Of names that are alike to the same degree one that begins so comes first, then the first known. Upper and lower
    case are one, and so are `_`, `-` and a space.
    """
    from difflib import SequenceMatcher

    likeness = SequenceMatcher(b=_folded(wrong)[:LONGEST_NAME])
    found: list[tuple[float, bool, int, str]] = []
    for number, name in enumerate(known):
        likeness.set_seq1(_folded(name))
        if likeness.real_quick_ratio() >= cutoff and likeness.quick_ratio() >= cutoff:
            ratio = likeness.ratio()
            found += [(-ratio, not _folded(name).startswith(_folded(wrong)), number, name)] if ratio >= cutoff else []
    return [name for *_, name in sorted(found)[:most]]


def _folded(name: str) -> str:
    return name.lower().replace("_", "-").replace(" ", "-")
