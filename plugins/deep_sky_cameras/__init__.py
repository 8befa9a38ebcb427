"""Cameras for single long exposures, most of them cooled, with memory for whole frames."""

from __future__ import annotations

from topo.plugin import hook
from topo.plugin.values import ProfileFolder


@hook
def topo_profiles() -> list[ProfileFolder]:
    """Every YAML file of this folder: one profile each, named by its stem."""
    return [ProfileFolder(package=__name__)]
