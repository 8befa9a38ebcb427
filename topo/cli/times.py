"""The options of commands that take files of evidence, alike in all: the files, and what is said of their times."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from topo.model.answers import DeclaredTimes


def evidence_options(help_text: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """The options of a command that takes evidence along: `evidence`, and those of `times_options`."""
    files = click.option("--evidence", multiple=True, metavar="FILE", type=click.Path(path_type=str),
                         help=f"{help_text}; may be given again.")
    return lambda command: files(times_options(command))


def times_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of a command that reads evidence: `columns`, `offsets` and `zone`."""
    columns = click.option("--column", "columns", multiple=True, metavar="NAME=HEADING",
                           help="A heading of a table: time, first, second, exposure, end, event, lost, mass, "
                                "settling.")
    offsets = click.option("--offset", "offsets", multiple=True, metavar="FILE=SECONDS",
                           help="Seconds to add to the times of FILE; or the wall time its zero stands for (ISO 8601).")
    zone = click.option("--zone", metavar="HOURS", type=click.FloatRange(-15, 15),
                        help="Local time minus UTC in the files of evidence, in hours.")
    return columns(offsets(zone(command)))


def times_of(
    evidence: Sequence[str], columns: Sequence[str], offsets: Sequence[str], zone: float | None
) -> DeclaredTimes:
    """The same for a command that takes evidence along. Raises UsageError where no file is there to say it of."""
    if not evidence and (columns or offsets or zone is not None):
        raise click.UsageError("--column, --offset and --zone are of files of evidence: name them with --evidence.")
    return declared_times(columns, offsets, zone)


def declared_times(columns: Sequence[str], offsets: Sequence[str], zone: float | None) -> DeclaredTimes:
    """What the options say of times. Raises CommandError."""
    from topo.errors import CommandError
    from topo.model.answers import DeclaredTimes
    from topo.model.evidence import COLUMN_NAMES
    from topo.model.plain import plain

    named = []
    for text in columns:
        name, equals, heading = text.partition("=")
        if not equals or name not in COLUMN_NAMES:
            raise CommandError(f"--column {plain(text, 80)}: say NAME=HEADING, NAME one of {', '.join(COLUMN_NAMES)}")
        named.append((name, heading))
    return DeclaredTimes(tuple(_offset(text) for text in offsets), None if zone is None else zone * 3600,
                         tuple(named))


def _offset(text: str) -> tuple[str, float]:
    from datetime import UTC, datetime

    from topo.errors import CommandError
    from topo.model.plain import plain

    name, _, told = text.rpartition("=")
    try:
        if "T" in told or "-" in told[1:]:
            when = datetime.fromisoformat(told)
            return name, (when if when.tzinfo else when.replace(tzinfo=UTC)).timestamp()
        seconds = float(told)
    except (ValueError, OverflowError):
        seconds = float("nan")
    if not name or not abs(seconds) < 1e12:
        raise CommandError(f"--offset {plain(text, 80)}: say FILE=SECONDS, or FILE=2026-11-24T21:00:00")
    return name, seconds
