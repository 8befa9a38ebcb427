"""The one exception tree of the tool. Every error a person can cause lives here; nothing else may reach the shell.

    TopoError                   exit 2 unless it says otherwise
    ├── RigFileError            a rig file that cannot be read: all its problems at once
    ├── CommandError            a command that cannot be carried out as typed
    ├── ScanError               exit 3: a scan, or a saved scan, that cannot be read
    └── PluginError             exit 3: a plugin that cannot be used at all

`topo.cli.main` turns each into words on standard error and an exit status; no other place does.
"""

from __future__ import annotations

from topo.frozen import frozen


@frozen(order=True)
class Problem:
    """One thing wrong with a file: where (line, column from 1; 0 = the whole file), what, and what would help."""

    file: str
    line: int
    column: int
    message: str
    hint: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        return f"{place}: {self.message}" + (f" ({self.hint})" if self.hint else "")


class TopoError(Exception):
    """An error with a message for the person and the exit status it leads to."""

    exit_status = 2


class RigFileError(TopoError):
    """A rig file or profile file with problems, ordered by place."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = tuple(sorted(problems))
        super().__init__("\n".join(str(problem) for problem in self.problems))


class CommandError(TopoError):
    """The command asks for something that is not there or does not fit together."""


class ScanError(TopoError):
    """A scan could not be made or read."""

    exit_status = 3


class PluginError(TopoError):
    """A plugin that was asked for cannot be used."""

    exit_status = 3


def reason_of(error: BaseException, otherwise: str = "the system refuses") -> str:
    """What the system says no with, as words for the middle of a sentence; `otherwise` where it says nothing."""
    return (getattr(error, "strerror", None) or otherwise).lower()
