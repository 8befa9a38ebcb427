"""Writes the text of a rig file or profile whole or not at all."""

from __future__ import annotations

import os

from topo.errors import CommandError
from topo.model.files import write_whole


def write(path: str | os.PathLike[str], text: str) -> None:
    """Replaces the file with the text as UTF-8. Raises CommandError; the old file then stands as it was."""
    try:
        data = text.encode("utf-8")
    except UnicodeEncodeError:
        raise CommandError("the text holds half a character, which cannot be written; the file is unchanged") from None
    write_whole(path, data)
