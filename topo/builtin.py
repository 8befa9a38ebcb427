"""What ships, by the same hooks as any plugin: checks, scanners and renderers here, profiles in their families.

A hook hands over values that import their room when they are used, so that a check costs no drawing and a drawing no
scan. The checks themselves are imported: nearly every command runs them.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from pkgutil import iter_modules
from typing import TYPE_CHECKING, Any

from topo.model.scanner import Scanner
from topo.plugin import hook

if TYPE_CHECKING:
    from topo.model.check import Check
    from topo.model.renderer import Renderer

FAMILIES = "topo_plugins"
"""The package the profile families are in: the folder `plugins/` of the repository."""


def families() -> tuple[str, ...]:
    """The modules of the profile families that ship, by name: each a plugin of its own in `topo_plugins`."""
    modules = iter_modules(importlib.import_module(FAMILIES).__path__)
    return tuple(sorted(f"{FAMILIES}.{module.name}" for module in modules if module.ispkg))


@hook
def topo_checks() -> list[Check]:
    """The checks that ship, in the order they are listed in."""
    from topo.checks import all_checks

    return list(all_checks())


@hook
def topo_scanners() -> list[Scanner]:
    """The scanners that ship. They are those of `topo.live`, which is imported when one is used."""
    return [
        Scanner("sysfs", "Linux: what the kernel keeps of every device, read from sysfs", ("Linux",),
                _later("topo.live.sysfs", "scan"), _later("topo.live.sysfs", "pulse")),
        Scanner("ioreg", "macOS: what the kernel's registry keeps, by the system's own ioreg", ("Darwin",),
                _later("topo.live.macos", "scan")),
        Scanner("cfgmgr", "Windows: the device tree that the system keeps, no device opened", ("Windows",),
                _later("topo.live.windows", "scan")),
        Scanner("libusb", "other systems: pyusb's listing, no device opened", ("FreeBSD",),
                _later("topo.live.libusb", "scan")),
    ]


def _later(module: str, function: str) -> Callable[..., Any]:
    """A function of a module that is imported when the function is called."""
    return lambda *arguments: getattr(importlib.import_module(module), function)(*arguments)


@hook
def topo_renderers() -> list[Renderer]:
    """The renderers that ship, the picture first."""
    from topo.draw.renderers import renderers

    return list(renderers())
