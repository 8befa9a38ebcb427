"""A folder made whole or not at all: built beside under another name, then put in place in one step."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Mapping
from pathlib import Path

from topo.disk.temporary import new_folder, umask
from topo.errors import CommandError, reason_of
from topo.model.plain import plain


def check_target(path: str | os.PathLike[str], force: bool) -> None:
    """Raises CommandError where a folder cannot be made there: it exists and nobody said to replace it."""
    target = Path(path)
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise CommandError(f"{plain(str(path))} is there already and is no folder")
    if target.exists() and not force:
        raise CommandError(f"the folder {plain(str(path))} is there already; --force replaces it")
    if target.exists() and not _is_a_pack(target):
        raise CommandError(f"the folder {plain(str(path))} holds files that are not of a pack; it stays as it is")
    if not target.parent.is_dir():
        raise CommandError(f"there is no folder {plain(str(target.parent))} to make it in")


PACK_FILES = frozenset({"advice.svg", "diagram.png", "diagram.svg", "guiding.svg", "post.md", "post.txt", "rig.yaml",
                        "scan.json", "watch.txt", "removed.txt"})
"""Every file a pack may hold. A folder with anything else in it is never replaced."""


def _is_a_pack(folder: Path) -> bool:
    try:
        return all(item.name in PACK_FILES for item in folder.iterdir())
    except OSError:
        return False


def make_folder(path: str | os.PathLike[str], files: Mapping[str, bytes], force: bool = False) -> None:
    """Makes a folder with these files. An old pack there is replaced with `force`, and comes back if that fails.

    Raises CommandError with the reason; then nothing has changed.
    """
    check_target(path, force)
    target = Path(path)
    building = None
    try:
        building = new_folder(target.parent)
        for name, data in files.items():
            with (building / name).open("xb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
        building.chmod(0o777 & ~umask())
        _swap(building, target)
    except OSError as error:
        raise CommandError(f"cannot make {plain(str(path))}: {reason_of(error)}") from error
    finally:
        if building is not None:
            shutil.rmtree(building, ignore_errors=True)


def _swap(building: Path, target: Path) -> None:
    if not target.exists():
        building.replace(target)
        return
    aside = new_folder(target.parent)
    try:
        target.replace(aside / "pack")
        try:
            building.replace(target)
        except OSError:
            with contextlib.suppress(OSError):
                (aside / "pack").replace(target)
            raise
    finally:
        shutil.rmtree(aside, ignore_errors=True)
