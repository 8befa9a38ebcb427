"""Which plugins there are: those that ship, by the name of their module, and those that distributions announce.

Nothing is imported here; a candidate says who it is and how to load it.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING, Any

from topo.frozen import frozen
from topo.plugin.described import announcing, version_of
from topo.plugin.isolate import words
from topo.plugin.spec import GROUP
from topo.plugin.values import Supplier, Trouble

if TYPE_CHECKING:
    from importlib.metadata import Distribution

BUILTIN = "topo.builtin"
"""What ships: a module above this room, known by its name alone, as any plugin is."""

DISTRIBUTION = "topo-rig"


@frozen
class NotLoaded:
    """A plugin that is not loaded yet. `load` imports it and returns the module or object its hooks are on.

    `module` is the name of that module, or of the one the object is in.
    """

    supplier: Supplier
    load: Callable[[], Any]
    module: str
    builtin: bool = False


def built_in() -> tuple[NotLoaded, ...]:
    """The plugins that ship: `topo.builtin` itself, then the profile families it names, in its order."""
    version = version_of(DISTRIBUTION)
    modules = (BUILTIN, *importlib.import_module(BUILTIN).families())
    return tuple(
        NotLoaded(Supplier(name, DISTRIBUTION, version), partial(importlib.import_module, name), name, True)
        for name in modules
    )


def announced() -> tuple[tuple[NotLoaded, ...], tuple[Trouble, ...]]:
    """The plugins of installed distributions, by distribution name and then by plugin name; and what is wrong.

    Of a distribution that is on the path twice the first counts, as it does for imports.
    """
    if not announcing(GROUP):
        return (), ()
    import importlib.metadata

    candidates: dict[tuple[str, str], NotLoaded] = {}
    troubles: list[Trouble] = []
    seen: set[str] = set()
    for distribution in importlib.metadata.distributions():
        try:
            text = distribution.read_text("entry_points.txt")
            if not text or f"[{GROUP}]" not in text:
                continue
            name, version = _name_of(distribution)
            if name.lower() in seen:
                continue
            seen.add(name.lower())
            for candidate in _of_distribution(distribution, name, version):
                candidates.setdefault((name.lower(), candidate.supplier.plugin), candidate)
        except Exception as error:
            where = str(getattr(distribution, "_path", "")).replace("\\", "/").rpartition("/")[2]
            troubles.append(Trouble.of(Supplier("?", where or "?"), f"its description cannot be read: {words(error)}"))
    return tuple(candidates[key] for key in sorted(candidates)), tuple(sorted(troubles, key=str))


def _name_of(distribution: Distribution) -> tuple[str, str]:
    metadata = distribution.metadata
    stated = {key: str(metadata[key] or "") for key in ("Name", "Version") if key in metadata}
    if not stated.get("Name"):
        raise ValueError("it has no name")
    return stated["Name"], stated.get("Version", "")


def _of_distribution(distribution: Distribution, name: str, version: str) -> Iterator[NotLoaded]:
    for point in distribution.entry_points.select(group=GROUP):
        yield NotLoaded(Supplier(point.name, name, version), point.load, point.value.partition(":")[0].strip())
