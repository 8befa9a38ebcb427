"""Plugins: what hooks there are, how they are loaded one by one, and what they supply. pluggy comes in here alone.

Nothing is imported here, so that a room below can use one file of this folder without paying for pluggy. `hook` is the
mark a plugin puts on its hook functions: `from topo.plugin import hook`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from topo.plugin.spec import hook

__all__ = ["hook"]


def __getattr__(name: str) -> Any:
    if name == "hook":
        from topo.plugin.spec import hook

        return hook
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
