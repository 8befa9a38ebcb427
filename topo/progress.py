"""Where a long computation is: rooms say it, whoever runs them may listen. Nothing is shown or timed here.

Saying it costs one comparison where nobody listens, so it may be said in a loop.
"""

from __future__ import annotations

from collections.abc import Callable

_listener: Callable[[str, int, int], None] | None = None


def listen(listener: Callable[[str, int, int], None] | None) -> None:
    """Makes `listener` hear every step: what is done in words, which of how many (0: nobody knows). None ends it."""
    global _listener
    _listener = listener


def at(what: str, number: int = 0, of: int = 0) -> None:
    """Says that a computation is at step `number` of `of`."""
    if _listener is not None:
        _listener(what, number, of)


_cut_short: list[str] = []


def stopped(words: str) -> None:
    """Says that Ctrl-C ended something before its time, and what its answer is worth."""
    _cut_short.append(words)


def cut_short() -> tuple[str, ...]:
    """What was said so since it was last asked, each once."""
    said = tuple(dict.fromkeys(_cut_short))
    _cut_short.clear()
    return said
