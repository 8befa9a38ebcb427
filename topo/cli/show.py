"""Plain paragraphs on standard output, wrapped at the width of the report, and JSON objects."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable, Mapping
from typing import Any

import click

from topo.model.cautions import CAUTIONS

WIDTH = 80


def paragraph(text: str, indent: str = "", first: str | None = None) -> None:
    """Prints text wrapped at 80 columns; `first` starts the first line, `indent` the others."""
    start = indent if first is None else first
    lines = textwrap.wrap(
        text, WIDTH, initial_indent=start, subsequent_indent=indent, break_long_words=True, break_on_hyphens=False
    )
    for line in lines or [start.rstrip()]:
        click.echo(line)


def table(rows: Iterable[tuple[str, str]], gap: int = 2, widest: int = 30) -> None:
    """Prints two columns; the second wraps beside the first."""
    pairs = list(rows)
    width = min(widest, max((len(left) for left, _ in pairs), default=0))
    for left, right in pairs:
        paragraph(right, " " * (width + gap), left.ljust(width) + " " * gap)


def as_json(form: str, body: Mapping[str, Any]) -> None:
    """Prints one JSON object with its format first."""
    click.echo(json.dumps({"format": form, **body}, indent=2, ensure_ascii=False))


def cautions() -> None:
    """Prints the cautions that go with everything said of power."""
    click.echo("\nOn power:")
    for caution in CAUTIONS:
        paragraph(caution, "  ", "- ")
