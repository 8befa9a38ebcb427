"""Finds things by what a person says in plain words: every word that carries something has to be there.

Endings are cut off, so that `times out`, `timed out` and `timeout` are the same. Nothing here is a language tool: the
phrases searched are short and our own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

EMPTY = frozenset((
    "a", "an", "and", "are", "at", "be", "been", "by", "can", "cannot", "can't", "do", "does", "doesn't", "don't",
    "for", "from", "has", "have", "i", "in", "is", "it", "its", "me", "my", "no", "not", "of", "on", "or", "says",
    "say", "that", "the", "then", "there", "they", "this", "to", "was", "when", "which", "while", "will", "with",
    "won't",
))
"""Words that carry nothing in a search."""

SAME = {"timeout": "time out", "timeouts": "time out", "disconnects": "drop", "disconnected": "drop",
        "disconnect": "drop", "vanishes": "gone", "vanished": "gone", "disappears": "gone", "disappeared": "gone",
        "lost": "lose", "loses": "lose", "busy": "use", "used": "use", "taken": "use", "denied": "deny",
        "missing": "miss", "swapped": "swap", "slow": "slow", "asleep": "sleep", "sleeps": "sleep"}  # fmt: skip
MOST_SAID_WORDS = 40


def stems(text: str) -> frozenset[str]:
    """The words of a text that carry something, without their endings."""
    found: set[str] = set()
    for word in re.findall(r"[a-z0-9']+", text.lower())[:MOST_SAID_WORDS * 50]:
        if word not in EMPTY:
            found.update(_stem(part) for part in SAME.get(word, word).split())
    return frozenset(found)


def _stem(word: str) -> str:
    for ending in ("ing", "ed", "es", "s", "e"):
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            return word[: -len(ending)]
    return word


def best_match(said: str, texts: Sequence[Iterable[str]]) -> int | None:
    """The place of the first group of texts of which one holds every word that was said, or None."""
    wanted = stems(" ".join(said.split()[:MOST_SAID_WORDS]))
    if not wanted:
        return None
    return next((n for n, group in enumerate(texts) if any(wanted <= stems(text) for text in group)), None)
