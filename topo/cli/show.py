"""Plain paragraphs on standard output, wrapped at the width of the report, and JSON objects."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

import click

from topo.cli.unchecked import unchecked
from topo.model.cautions import CAUTIONS

_Command = TypeVar("_Command", bound=Callable[..., Any])

WIDTH_KEY = "topo.width"

WIDTH = 80
"""Columns of what is printed on paper."""


def width_option(command: _Command) -> _Command:
    """`--width N` for a command that prints text; `width()` answers it."""
    return click.option(
        "--width", type=click.IntRange(40, 500), metavar="N", expose_value=False, callback=_keep_width,
        help="Cells of a line of text. [default: the terminal, at most 120; 80 elsewhere]",
    )(command)


def _keep_width(context: click.Context, _: click.Parameter, value: int | None) -> None:
    context.meta[WIDTH_KEY] = value


def width() -> int:
    """Cells of a line: what was asked for, else what standard output has."""
    from topo.report.print import width_of

    context = click.get_current_context(silent=True)
    asked: int | None = context.meta.get(WIDTH_KEY) if context is not None else None
    return asked or width_of(sys.stdout)



def paragraph(text: str, indent: str = "", first: str | None = None) -> None:
    """Prints text wrapped at `width()`; `first` starts the first line, `indent` the others. Nothing in it acts."""
    from topo.report.lines import safe
    from topo.report.print import encoding_of
    from topo.words.cells import wrap

    start = indent if first is None else first
    room = width() - max(len(indent), len(start))
    for number, line in enumerate(wrap(safe(" ".join(text.split()), encoding_of(sys.stdout)), room)):
        click.echo(((start if number == 0 else indent) + line).rstrip())


def as_json(form: str, body: Mapping[str, Any]) -> None:
    """Prints one JSON object with its format first and what was left unchecked last."""
    body = {"format": form, **body, "plugins_failed": unchecked()}
    import json

    click.echo(json.dumps(body, indent=2, allow_nan=False))


def cautions() -> None:
    """Prints the cautions that go with everything said of power."""
    click.echo("\nOn power:")
    for caution in CAUTIONS:
        paragraph(caution, "  ", "- ")
