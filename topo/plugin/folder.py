"""The person's own folder of profiles: where it is on each system. Nothing is read or made here."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

VARIABLE = "TOPO_PROFILES"
"""Environment variable that names another folder."""

OWN = "your own profiles"
"""What stands for the folder as a supplier: its path would tell a user name."""


def profile_folder(environ: Mapping[str, str] | None = None, system: str = sys.platform) -> Path:
    """The folder whose YAML files are the person's own profiles. It need not exist.

    Linux and the like follow the XDG Base Directory Specification 0.8: $XDG_CONFIG_HOME if it is an absolute path,
    else ~/.config. Windows: %APPDATA%. macOS: ~/Library/Application Support.
    """
    known = os.environ if environ is None else environ
    if is_named(known):
        return Path(known[VARIABLE]).expanduser()
    return _configuration(known, system) / "topo" / "profiles"


def is_named(environ: Mapping[str, str] | None = None) -> bool:
    """True where the person named the folder: it must then be there. `TOPO_PROFILES=/dev/null` names none at all."""
    return bool((os.environ if environ is None else environ).get(VARIABLE))


def _configuration(environ: Mapping[str, str], system: str) -> Path:
    home = Path(environ.get("USERPROFILE" if system == "win32" else "HOME") or Path.home())
    if system == "win32":
        return Path(environ.get("APPDATA") or home / "AppData" / "Roaming")
    if system == "darwin":
        return home / "Library" / "Application Support"
    stated = environ.get("XDG_CONFIG_HOME", "")
    return Path(stated) if stated.startswith("/") else home / ".config"
