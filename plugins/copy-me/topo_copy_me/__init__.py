"""The hooks of this plugin. Each takes nothing and returns a list of frozen values; nothing is done inside a hook."""

from __future__ import annotations

from topo.model.check import Check
from topo.plugin import hook
from topo.plugin.values import ProfileFolder, Renderer


@hook
def topo_profiles() -> list[ProfileFolder]:
    """The profiles: a folder of YAML files in this package, opened only when one is asked for."""
    return [ProfileFolder(package=__name__, folder="profiles")]


@hook
def topo_checks() -> list[Check]:
    """The check. It is imported here and not at the top, so that a command that needs no checks pays nothing."""
    from topo_copy_me.slow_guide_download import CHECK

    return [CHECK]


@hook
def topo_renderers() -> list[Renderer]:
    """The renderer."""
    from topo_copy_me.parts_list import RENDERER

    return [RENDERER]
