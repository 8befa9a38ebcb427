"""Plain paragraphs on standard output, wrapped at the width of the report, and JSON objects."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from typing import Any

import click

from topo.cli.unchecked import unchecked
from topo.model.cautions import CAUTIONS

WIDTH = 80


def paragraph(text: str, indent: str = "", first: str | None = None) -> None:
    """Prints text wrapped at 80 cells; `first` starts the first line, `indent` the others. Nothing in it acts."""
    from topo.report.lines import safe
    from topo.report.print import encoding_of
    from topo.words.cells import wrap

    start = indent if first is None else first
    width = WIDTH - max(len(indent), len(start))
    for number, line in enumerate(wrap(safe(" ".join(text.split()), encoding_of(sys.stdout)), width)):
        click.echo(((start if number == 0 else indent) + line).rstrip())


def as_json(form: str, body: Mapping[str, Any]) -> None:
    """Prints one JSON object with its format first and what was left unchecked last."""
    body = {"format": form, **body, "plugins_failed": unchecked()}
    click.echo(json.dumps(body, indent=2, allow_nan=False))


def cautions() -> None:
    """Prints the cautions that go with everything said of power."""
    click.echo("\nOn power:")
    for caution in CAUTIONS:
        paragraph(caution, "  ", "- ")
