"""Writes the text of a rig file or profile whole or not at all."""

from __future__ import annotations

import os

from topo.model.files import write_whole


def write(path: str | os.PathLike[str], text: str) -> None:
    """Replaces the file with the text as UTF-8. Raises CommandError; the old file then stands as it was."""
    write_whole(path, text.encode("utf-8"))
