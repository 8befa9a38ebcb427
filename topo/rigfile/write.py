"""Writes the text of a rig file or profile whole or not at all."""

from __future__ import annotations

import os

from topo.disk.whole import write_whole
from topo.errors import CommandError


def write(path: str | os.PathLike[str], text: str, was: str | None = None) -> None:
    """Replaces the file with the text as UTF-8. Raises CommandError; the old file then stands as it was.

    `was` is the text the change was made from: where the file says something else by now nothing is written.
    """
    try:
        data = text.encode("utf-8")
    except UnicodeEncodeError:
        raise CommandError("the text holds half a character, which cannot be written; nothing was written") from None
    write_whole(path, data, None if was is None else was.encode())
