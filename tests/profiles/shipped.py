"""The profiles that ship, read from their files one by one; no judgement here."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from topo.model.declare import known
from topo.model.facts import Fact, value_of
from topo.model.profile import Profile
from topo.model.speed import Speed
from topo.rigfile.profiles import read_profiles

ROOT = Path(__file__).resolve().parents[2] / "plugins"
FAMILIES = sorted(path for path in ROOT.iterdir() if (path / "__init__.py").exists())
FILES = [path for family in FAMILIES for path in sorted(family.glob("*.yaml"))]
READ = {path: read_profiles(path.read_bytes(), str(path), path.parent.name) for path in FILES}
PROFILES: dict[str, Profile] = {profile.name: profile for found in READ.values() for profile in found}
FAMILY = {profile.name: path.parent.name for path, found in READ.items() for profile in found}

DEVICES = [profile for profile in PROFILES.values() if profile.kind == "device"]
HUBS = [profile for profile in PROFILES.values() if profile.kind == "hub"]
COMPUTERS = [profile for profile in PROFILES.values() if profile.kind == "computer"]
CAMERAS = [profile for profile in DEVICES if profile.facts.width_px is not None]


def by_name(profile: Profile) -> str:
    """The id of a test for a profile."""
    return profile.name


def speed_of(profile: Profile) -> Speed:
    """The speed a profile states."""
    return Speed.from_word(value_of(profile.facts.speed))


def figures(profile: Profile) -> list[tuple[str, Fact[Any]]]:
    """Every figure of a profile, those of its serial line too."""
    uplinks = [(f"uplink:{each.name}", each.uplink) for each in profile.controllers if each.uplink is not None]
    return [*known(profile.facts), *uplinks, *known(profile.serial)]
