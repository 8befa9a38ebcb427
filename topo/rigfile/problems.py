"""Collects what is wrong with one file, so that all of it is told at once. Words come from elsewhere; no YAML here."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable

from topo.errors import Problem, RigFileError
from topo.model.plain import plain
from topo.words.nearest import near_names

MOST_FILE_PROBLEMS = 100
"""Problems told of one file. Past that a person mends and runs again; a hostile file must not cost minutes."""

Hint = str | Callable[[], str]


def shown(text: str, limit: int = 60) -> str:
    """Text of a file made safe and short for a message; blanks that are not the plain one are escaped too."""
    cut = plain(text, limit)
    return "".join(f"\\u{ord(c):04x}" if c != " " and unicodedata.category(c) == "Zs" else c for c in cut)


def nearest(name: str, names: Iterable[str], cutoff: float = 0.62) -> str:
    """'nearest name: …' for a name that does not exist, or nothing where none is near."""
    found = near_names(name, names, cutoff=cutoff)
    return f"nearest name: {shown(found[0])}" if found else ""


class Problems:
    """Problems of one file. Hints may be functions: they run only for problems that are told."""

    def __init__(self, path: str) -> None:
        self.file = plain(path, 400)
        self._found: dict[tuple[int, int, str], Hint] = {}
        self._muted: set[int] = set()

    def __len__(self) -> int:
        return len(self._found)

    def add(self, line: int, column: int, message: str, hint: Hint = "") -> None:
        """Notes a problem at a place (from 1; line 0 is the whole file). The same one twice counts once."""
        if line not in self._muted:
            self._found.setdefault((line, column, message), hint)

    def mute(self, line: int) -> None:
        """Notes nothing more on a line: what is wrong with it is told, and the rest would be guesses."""
        self._muted.add(line)

    def is_muted(self, line: int) -> bool:
        """True for a line on which nothing more is noted."""
        return line in self._muted

    def take(self, other: Problems) -> None:
        """Notes everything another collector of the same file has."""
        for (line, column, message), hint in other._found.items():
            self.add(line, column, message, hint)

    def at(self, line: int, column: int) -> bool:
        """True where something is noted at a place already."""
        return any(key[:2] == (line, column) for key in self._found)

    def error(self) -> RigFileError:
        """The error that tells them, the first `MOST_FILE_PROBLEMS` by place."""
        ordered = sorted(self._found.items(), key=lambda item: item[0])
        told = [
            Problem(self.file, line, column, message, hint if isinstance(hint, str) else hint())
            for (line, column, message), hint in ordered[:MOST_FILE_PROBLEMS]
        ]
        if len(ordered) > MOST_FILE_PROBLEMS:
            told.append(Problem(self.file, 0, 0, f"{len(ordered)} problems; the first {MOST_FILE_PROBLEMS} follow"))
        return RigFileError(tuple(told))

    def raise_if_any(self) -> None:
        """Raises RigFileError where anything was noted."""
        if self._found:
            raise self.error()


def only(path: str, line: int, column: int, message: str, hint: str = "") -> RigFileError:
    """The error of a file with a single problem."""
    return RigFileError((Problem(plain(path, 400), line, column, message, hint),))
