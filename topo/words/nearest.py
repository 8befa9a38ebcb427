"""The names that somebody may have meant by one that does not exist."""

from __future__ import annotations

from collections.abc import Iterable

LONGEST_NAME = 80
"""Characters of a wrong name that are compared: names that exist are shorter."""


def near_names(wrong: str, known: Iterable[str], most: int = 1, cutoff: float = 0.55) -> list[str]:
    """At most that many of the known names, the nearest first, none less alike than `cutoff` (0 to 1).

    Upper and lower case are one, and so are `_`, `-` and a space.
    """
    import difflib

    folded = {_folded(name): name for name in reversed(list(known))}
    return [folded[name] for name in difflib.get_close_matches(_folded(wrong)[:LONGEST_NAME], folded, most, cutoff)]


def _folded(name: str) -> str:
    return name.lower().replace("_", "-").replace(" ", "-")
