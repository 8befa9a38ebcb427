"""The hooks a plugin can implement. Each takes nothing and returns frozen values; nothing is done inside a hook.

A whole plugin:

    from topo.plugin import hook
    from topo.plugin.values import ProfileFolder

    @hook
    def topo_profiles():
        return [ProfileFolder(package=__name__)]

Announce it in the distribution's pyproject.toml:

    [project.entry-points.topo]
    my-cameras = "my_cameras"

`plugins/copy-me/` is a distribution to start from, and `python -m topo.plugin.contract PACKAGE` holds a plugin to the
rules.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pluggy

if TYPE_CHECKING:
    from topo.model.check import Check
    from topo.model.profile import Profile
    from topo.plugin.values import EvidenceReader, ProfileFolder, Renderer, Scanner

GROUP = "topo"
"""The entry-point group, and the name hooks are marked under."""

hook = pluggy.HookimplMarker(GROUP)
_spec = pluggy.HookspecMarker(GROUP)


@_spec
def topo_profiles() -> list[ProfileFolder | Profile]:  # type: ignore[empty-body]
    """Folders of profile files, one profile to a file, or finished profiles. A folder is read only when asked for."""


@_spec
def topo_checks() -> list[Check]:  # type: ignore[empty-body]
    """Checks. Each carries cases: small rig files, at least one it leaves alone and one it catches."""


@_spec
def topo_scanners() -> list[Scanner]:  # type: ignore[empty-body]
    """Ways to see what is plugged in. A scan causes no USB traffic: no device is opened, no request is sent."""


@_spec
def topo_renderers() -> list[Renderer]:  # type: ignore[empty-body]
    """Ways to draw a rig. Every text of a scene is untrusted: the renderer escapes it for its own output."""


@_spec
def topo_evidence_readers() -> list[EvidenceReader]:  # type: ignore[empty-body]
    """Readers of logs, captures and tables of times. Everything in such a file is untrusted."""


HOOKS = ("topo_profiles", "topo_checks", "topo_scanners", "topo_renderers", "topo_evidence_readers")
"""Every hook, in the order they are asked."""
