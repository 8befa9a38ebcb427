"""Profiles by name, from the person's folder and from plugins. A file is read when its profile is asked for, once.

The person's own profile wins over one that comes in a plugin. A name that two plugins claim is nobody's, unless it
came in the box.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from topo.errors import PluginError, Problem, RigFileError, reason_of
from topo.frozen import frozen
from topo.model.plain import plain
from topo.plugin.folder import OWN

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

    from topo.model.profile import Profile, ProfileSource
    from topo.plugin.values import Supplier

SUFFIXES = (".yaml", ".yml")


@frozen
class ProfileFile:
    """A profile that stands in a file: its name is the stem of the file's."""

    name: str
    path: str
    file: Path | Traversable

    def read(self, supplied_by: str) -> Profile:
        """The profile. Raises RigFileError with the place of everything wrong."""
        from topo.rigfile.profiles import read_profiles

        for profile in read_profiles(self._text(), self.path, supplied_by):
            if profile.name == self.name:
                return profile
        raise RigFileError((Problem(
            self.path, 0, 0, f"holds no profile called '{plain(self.name)}'",
            "here a file holds one profile, its keys at the top, and is named for it"),))

    def _text(self) -> str:
        from topo.rigfile.source import MOST_FILE_BYTES, decoded

        try:
            with self.file.open("rb") as stream:
                return decoded(stream.read(MOST_FILE_BYTES + 1), self.path)
        except OSError as error:
            raise RigFileError((Problem(self.path, 0, 0, f"cannot be read: {reason_of(error, str(error))}"),)) from None


def profile_files(folder: Path | Traversable, shown: str) -> tuple[ProfileFile, ...]:
    """The profile files of a folder, by name; `shown` is how the folder is called in messages.

    Hidden files and whatever is no regular file are left alone. Raises OSError where the folder cannot be listed.
    """
    found: dict[str, ProfileFile] = {}
    for item in sorted(_items(folder), key=lambda item: item.name):
        stem, dot, ending = item.name.rpartition(".")
        if stem and not stem.startswith(".") and dot + ending in SUFFIXES and item.is_file():
            file = folder / item.name
            found.setdefault(stem, ProfileFile(stem, f"{shown}/{item.name}" if shown else str(file), file))
    return tuple(found[stem] for stem in sorted(found))


def _items(folder: Path | Traversable) -> Iterable[os.DirEntry[str] | Traversable]:
    """What is in a folder. A folder of the system tells with each name whether it is a file, without a look at each."""
    if not isinstance(folder, Path):
        return folder.iterdir()
    with os.scandir(folder) as items:
        return list(items)


def own_files(folder: Path, must_be: bool = False) -> tuple[tuple[ProfileFile, ...], str]:
    """The person's own profile files, and in words why they cannot be listed. A folder that nobody named may miss."""
    try:
        return profile_files(folder, ""), ""
    except OSError as error:
        if str(folder) == os.devnull or (isinstance(error, FileNotFoundError) and not must_be):
            return (), ""
        reason = reason_of(error, str(error))
        return (), f"the folder {plain(str(folder), 400)} cannot be listed: {reason}; none of them is used"


class Shelf:
    """Profiles by name. `claims` are the names each plugin brings, with the value or file, in the order of plugins.

    `contested` tells for each name that more than one plugin claims who they are.
    """

    def __init__(
        self, own: Iterable[ProfileFile], claims: Mapping[str, tuple[Supplier, ProfileFile | Profile]],
        contested: Mapping[str, Sequence[Supplier]] | None = None,
    ) -> None:
        self._own = {file.name: file for file in own}
        self._claims = dict(claims)
        self._contested = {name: tuple(who) for name, who in (contested or {}).items()}
        self._read: dict[str, Profile] = {}

    @property
    def names(self) -> tuple[str, ...]:
        """Every name that can be asked for, in alphabetical order."""
        return tuple(sorted({**self._own, **self._claims}))

    @property
    def in_place_of(self) -> tuple[tuple[str, str], ...]:
        """Own profiles that were asked for and go before another of that name, each with who supplies that one."""
        held = (name for name in self._read if name in self._own and name in self._claims)
        return tuple((name, str(self._claims[name][0])) for name in held)

    @property
    def own_names(self) -> tuple[str, ...]:
        """The names of the person's own profiles, in alphabetical order."""
        return tuple(sorted(self._own))

    def get(self, name: str) -> Profile | None:
        """The profile of that name, or None.

        Raises RigFileError where the person's own file is wrong, and PluginError where a plugin's is, or where two
        plugins claim the name.
        """
        if name not in self._read:
            profile = self._fetch(name)
            if profile is None:
                return None
            self._read[name] = profile
        return self._read[name]

    def _fetch(self, name: str) -> Profile | None:
        if name in self._own:
            return self._own[name].read(OWN)
        if name in self._contested and name not in self._claims:
            both = " and ".join(str(supplier) for supplier in self._contested[name])
            raise PluginError(f"profile '{plain(name)}' is supplied by both {both}; remove one of them")
        if name not in self._claims:
            return None
        supplier, held = self._claims[name]
        if not isinstance(held, ProfileFile):
            return held
        try:
            return held.read(str(supplier))
        except RigFileError as error:
            raise PluginError(f"profile '{plain(name)}' of plugin {supplier} cannot be read:\n{error}") from error

    def beneath(self, name: str) -> str:
        """Who supplies that name besides the person, in words; empty where nobody does."""
        return str(self._claims[name][0]) if name in self._claims else ""


class Layered:
    """Some profiles laid over a source: a rig file's own come before those of the person and of plugins."""

    def __init__(self, own: Iterable[Profile], beneath: ProfileSource) -> None:
        self._own = {profile.name: profile for profile in own}
        self._beneath = beneath

    def profile(self, name: str) -> Profile | None:
        """The profile of that name, the nearest first. Raises what the source raises."""
        return self._own.get(name) or self._beneath.profile(name)

    def profile_names(self) -> Sequence[str]:
        """All names, the nearest first."""
        return (*self._own, *self._beneath.profile_names())
