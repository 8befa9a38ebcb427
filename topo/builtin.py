"""What ships, by the same hooks as any plugin: checks, scanners, renderers and readers here, profiles in families.

A hook hands over values that import their room when they are used, so that a check costs no drawing and a drawing no
scan. The checks themselves are imported: nearly every command runs them.
"""

from __future__ import annotations

import importlib
import sys
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from pkgutil import iter_modules
from types import ModuleType
from typing import TYPE_CHECKING

from topo.plugin import hook

if TYPE_CHECKING:
    from topo.model.check import Check
    from topo.model.reader import EvidenceReader
    from topo.model.renderer import Renderer
    from topo.model.scanner import Scanner

FAMILIES = "topo_plugins"
"""The package the profile families are in: the folder `plugins/` of the repository."""


def families() -> tuple[str, ...]:
    """The modules of the profile families that ship, by name: each a plugin of its own in `topo_plugins`."""
    modules = iter_modules(_shipped().__path__)
    return tuple(sorted(f"{FAMILIES}.{module.name}" for module in modules if module.ispkg))


def _shipped() -> ModuleType:
    """The package of the families. Run from a checkout it is the folder beside, whatever else is installed: a second
    checkout has profiles of its own."""
    folder = Path(__file__).resolve().parent.parent / "plugins"
    if FAMILIES not in sys.modules and (folder.parent / "pyproject.toml").is_file() and folder.is_dir():
        spec = spec_from_file_location(FAMILIES, folder / "__init__.py", submodule_search_locations=[str(folder)])
        if spec is not None and spec.loader is not None:
            sys.modules[FAMILIES] = module_from_spec(spec)
            spec.loader.exec_module(sys.modules[FAMILIES])
    return importlib.import_module(FAMILIES)


@hook
def topo_checks() -> list[Check]:
    """The checks that ship, in the order they are listed in."""
    from topo.checks import all_checks

    return list(all_checks())


@hook
def topo_scanners() -> list[Scanner]:
    """The scanners that ship."""
    from topo.live.scanners import scanners

    return list(scanners())


@hook
def topo_renderers() -> list[Renderer]:
    """The renderers that ship, the picture first."""
    from topo.draw.renderers import renderers

    return list(renderers())


@hook
def topo_evidence_readers() -> list[EvidenceReader]:
    """The readers of evidence that ship, those of the surest marks first."""
    from topo.evidence.readers import readers

    return list(readers())
