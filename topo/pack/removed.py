"""What was taken out of a pack: counts by kind, never the values."""

from __future__ import annotations

from collections import Counter

REMOVED_KINDS = (
    "name of the rig", "paths of files", "names of parts", "names of sockets and controllers",
    "names of supplies and leads",
    "serial numbers, replaced by tags", "notes and comments", "profile names", "profile sources",
    "names of programs", "names of ports, replaced by their kinds",
    "names and descriptions of devices", "devices that are not of the rig", "host and user names",
    "places in the system",
    "times", "lines of the log", "texts of plugins", "other fields",
)
"""Every kind of thing that is removed, in the order of the list."""


class Removed:
    """Counts what is removed. Knows the kinds above and nothing else, so that no value can slip in."""

    def __init__(self) -> None:
        self._counts: Counter[str] = Counter()

    def count(self, kind: str, times: int = 1) -> None:
        """Counts something removed. Raises ValueError for a kind that is not listed."""
        if kind not in REMOVED_KINDS:
            raise ValueError("no such kind of removed thing")
        self._counts[kind] += times

    def lines(self) -> tuple[str, ...]:
        """`names of parts: 3`, in the order of the kinds; empty where nothing was removed."""
        return tuple(f"{kind}: {self._counts[kind]}" for kind in REMOVED_KINDS if self._counts[kind])

    @property
    def total(self) -> int:
        """How many things were removed."""
        return sum(self._counts.values())
