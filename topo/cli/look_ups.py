"""What the look-up commands share: a page for standard output, nearest names on a miss, a word on failed plugins."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import click

from topo.errors import CommandError
from topo.model.plain import plain
from topo.words.nearest import near_names

if TYPE_CHECKING:
    from topo.plugin.values import Trouble
    from topo.report.page import Page


def new_page() -> Page:
    """A page as wide as standard output, that says only what its encoding can."""
    from topo.cli.show import width
    from topo.report.page import Page
    from topo.report.print import encoding_of

    return Page(width(), encoding_of(sys.stdout))


def show(page: Page) -> None:
    """Prints a page."""
    from topo.report.print import print_lines

    print_lines(page.lines)


def show_json(value: dict[str, Any]) -> None:
    """Prints one JSON object. Text from outside stays as it is, with all but ASCII escaped."""
    click.echo(json.dumps(value, indent=2, allow_nan=False))


def mention(troubles: Iterable[Trouble]) -> None:
    """One line on standard error where plugins failed; `topo plugins` says what."""
    failed = list(dict.fromkeys(trouble.plugin for trouble in troubles))
    if failed:
        names = ", ".join(plain(name) for name in failed)
        click.echo(f"topo: trouble with {names}; `topo plugins` says what", err=True)


def unknown(what: str, word: str, names: Iterable[str], command: str) -> CommandError:
    """The error for a word that names nothing, with the nearest names and the command that lists all."""
    near = near_names(word, names, most=3)
    hint = f"nearest: {', '.join(map(plain, near))}; " if near else ""
    return CommandError(f"there is no {what} called '{plain(word)}' ({hint}`{command}` lists them)")
