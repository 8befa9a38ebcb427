"""What installed distributions say of themselves, as far as a look at their folders on the path tells it.

`importlib.metadata` reads every kind of path and every way of describing, and brings email, zipfile and sockets with
it, a twentieth of a whole check. Most people have no plugin: that is seen here from the folders alone. Whatever is not
a plain folder of plain files on the path is left to `importlib.metadata`.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from importlib.machinery import PathFinder


class _Unclear(Exception):
    """A path on which distributions may stand in another way than as folders."""


def announcing(group: str) -> bool:
    """False where surely no distribution on the path announces an entry point of that group."""
    try:
        return any(f"[{group}]" in _read(folder, "entry_points.txt") for folder in _folders())
    except (_Unclear, OSError, ValueError):
        return True


def version_of(distribution: str) -> str:
    """The version of an installed distribution; empty where it is not installed."""
    try:
        for folder in _folders():
            name = os.path.basename(folder).lower().rpartition(".")[0].partition("-")[0]  # noqa: PTH119
            if name.replace(".", "_") == distribution.replace("-", "_"):
                return _stated(_read(folder, "METADATA") or _read(folder, "PKG-INFO"), "Version")
        return ""
    except (_Unclear, OSError, ValueError):
        from importlib import metadata

        try:
            return metadata.version(distribution) or ""
        except (metadata.PackageNotFoundError, KeyError):
            return ""


def _folders() -> Iterator[str]:
    """The folders that describe a distribution, in the order of the path. Raises _Unclear where there may be more."""
    if any(hasattr(finder, "find_distributions") and finder is not PathFinder for finder in sys.meta_path):
        raise _Unclear
    for entry in sys.path:
        if entry.lower().endswith(".egg") or os.path.isfile(entry):  # noqa: PTH113
            raise _Unclear
        try:
            names = os.listdir(entry or ".")  # noqa: PTH208
        except (FileNotFoundError, NotADirectoryError):
            continue
        yield from (f"{entry or '.'}/{name}" for name in names if name.lower().endswith((".dist-info", ".egg-info")))


def _read(folder: str, name: str) -> str:
    """A file of the folder, empty where it is not there or may not be read, which says nothing then."""
    try:
        with open(f"{folder}/{name}", encoding="utf-8") as stream:  # noqa: PTH123
            return stream.read()
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError, PermissionError):
        return ""


def _stated(text: str, key: str) -> str:
    """A field of the head of a description. Raises _Unclear where it is not there in one plain line."""
    for line in text.splitlines():
        if not line:
            break
        if line.startswith(f"{key}: "):
            return line.partition(": ")[2].strip()
    raise _Unclear
