"""What was left unchecked in a command: plugins and checks that failed, told alike by every command, with one status.

Kept with the command that runs (click's context), so that each function that runs checks can note what went wrong.
"""

from __future__ import annotations

from collections.abc import Iterable

import click

from topo.model.plain import LONGEST, plain

KEY = "topo.unchecked"
STATUS = 3
"""The exit status where the answer itself found nothing wrong, and something was left unchecked."""


def note(troubles: Iterable[str]) -> None:
    """Notes what failed, in words; the same words twice count once."""
    _noted().update(dict.fromkeys(troubles))


def unchecked() -> list[str]:
    """Everything noted, in the order it was noted first."""
    return list(_noted())


def finish(status: int = 0) -> None:
    """Ends a command: tells on standard error what was left unchecked. 0 becomes 3 where there is any."""
    troubles = unchecked()
    if troubles:
        click.echo("topo: these plugins or checks failed, so what they look for was not looked for:", err=True)
    for trouble in troubles:
        click.echo(f"topo:   {plain(trouble, LONGEST)}", err=True)
    click.get_current_context().exit(status or (STATUS if troubles else 0))


def _noted() -> dict[str, None]:
    noted: dict[str, None] = click.get_current_context().meta.setdefault(KEY, {})
    return noted
