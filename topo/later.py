"""Patterns that are compiled when they are first used. Compiling costs more than most commands have use for.

Knows nothing of rigs, and stands below every room.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, cast


class _Later:
    """Stands in for a pattern; what is asked of it first compiles it."""

    def __init__(self, pattern: Any, flags: Any = 0) -> None:
        self._said = pattern, flags

    def __getattr__(self, name: str) -> Any:
        if "_made" not in self.__dict__:
            self._made = _compile(*self._said)
        held = getattr(self._made, name)
        setattr(self, name, held)  # the next use finds it without coming here
        return held


_compile = re.compile


def pattern(text: str, flags: int = 0) -> re.Pattern[str]:
    """What `re.compile` gives, compiled at the first use. `re.sub` and its like do not take it: use its own methods."""
    return cast("re.Pattern[str]", _Later(text, flags))


@contextmanager
def compiled_later() -> Iterator[None]:
    """Makes `re.compile` give patterns of this kind meanwhile, for importing a library that compiles many at once."""
    re.compile = _Later  # type: ignore[assignment]
    try:
        yield
    finally:
        re.compile = _compile
