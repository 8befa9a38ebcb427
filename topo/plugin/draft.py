"""A profile being written by a person: its text, judged by the reader itself, and its file, whole or not at all."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from topo.disk.whole import write_whole
from topo.errors import CommandError, Problem, RigFileError, reason_of
from topo.frozen import frozen
from topo.model.plain import plain
from topo.plugin.accept import NAME
from topo.plugin.folder import OWN
from topo.rigfile.quote import scalar

if TYPE_CHECKING:
    from topo.model.profile import Profile, ProfileKind
    from topo.model.rig import Role



@frozen
class Stated:
    """A value as it was typed, and where it comes from; no source: that of the whole profile."""

    value: str
    source: str = ""


@frozen
class Draft:
    """A profile as text: nothing is judged yet. `ports` are a computer's sockets with the speed of each."""

    name: str
    kind: ProfileKind = "device"
    role: Role | None = None
    summary: str = ""
    source: str = ""
    facts: Mapping[str, Stated] = field(default_factory=dict)
    serial: Mapping[str, Stated] = field(default_factory=dict)
    ports: Mapping[str, str] = field(default_factory=dict)


def checked_name(name: str) -> str:
    """The name, if it is lower-case words joined by hyphens. Raises CommandError."""
    if not re.fullmatch(NAME, name) or len(name) > 64:
        raise CommandError(f"'{plain(name)}' is no name for a profile: use lower-case words joined by hyphens, "
                           "at most 64 characters, such as camera-guide-3mp")
    return name


def text_of(draft: Draft) -> str:
    """The profile as YAML."""
    lines = [f"kind: {draft.kind}"]
    lines += [f"role: {draft.role}"] if draft.role else []
    lines += [f"summary: {scalar(draft.summary)}"] if draft.summary else []
    lines += [f"source: {scalar(draft.source)}"] if draft.source else []
    for section, stated in (("facts", draft.facts), ("serial", draft.serial)):
        if stated:
            lines += [f"{section}:", *(f"  {scalar(key)}: {_stated(value)}" for key, value in stated.items())]
    if draft.ports:
        lines += ["ports:", *(f"  {scalar(name)}: {{speed: {scalar(speed)}}}" for name, speed in draft.ports.items())]
    return "\n".join(lines) + "\n"


def _stated(stated: Stated) -> str:
    value = stated.value if stated.value in ("true", "false") else scalar(stated.value)
    return f"{{value: {value}, source: {scalar(stated.source)}}}" if stated.source else value


def judged(draft: Draft, path: str) -> Profile:
    """The profile the draft would be. Raises RigFileError with everything wrong in it, as reading the file would."""
    from topo.rigfile.profiles import read_profiles

    for profile in read_profiles(text_of(draft), path, OWN):
        if profile.name == draft.name:
            return profile
    raise RigFileError((Problem(path, 0, 0, "the draft holds no profile"),))


def write(draft: Draft, folder: Path, force: bool = False) -> Path:
    """Writes the profile into a folder, whole or not at all, and returns its path. Makes the folder.

    Raises RigFileError where the draft breaks the schema; CommandError where the file is there and `force` is not
    given, and where it cannot be written.
    """
    path = folder / f"{checked_name(draft.name)}.yaml"
    judged(draft, str(path))
    there = next((held for held in (path, path.with_suffix(".yml")) if held.exists()), None)
    if there is not None and not force:
        raise CommandError(f"{there} is there already; --force writes over it")
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CommandError(f"the folder {folder} cannot be made: {reason_of(error, str(error))}") from None
    write_whole(there or path, text_of(draft).encode())
    return there or path
