"""The physical tree: which part is plugged into which socket of which. One type for what a file declares and for what
a scan saw, so that the two can be laid over each other.

A key is a part's id in a rig file, a thing's id in a scan; the computer is the root of both. Sockets have one
numbering: the one printed on the hub, which is that of its USB 2 side. Facts, speeds and sightings lie beside the
tree, under the same keys.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from topo.model.rig import COMPUTER

if TYPE_CHECKING:
    from topo.model.rig import Plug


class Tree:
    """Every key with its plug, in an order that siblings keep. The computer is there even if nothing names it.

    A key hangs nowhere if it has no plug, or one that ends in a key that is not there.
    """

    __slots__ = ("_children", "_paths", "plugs", "wired")

    def __init__(self, plugs: Mapping[str, Plug | None]) -> None:
        self.plugs: Mapping[str, Plug | None] = {COMPUTER: None, **plugs}
        self._children: dict[str, list[str]] = {key: [] for key in self.plugs}
        for key, plug in self.plugs.items():
            if plug is not None and plug.part in self._children:
                self._children[plug.part].append(key)
        self.wired: tuple[str, ...] = (COMPUTER, *self.below(COMPUTER))
        """Keys that reach the computer, itself first, depth first in the order given."""
        self._paths: dict[str, tuple[str, ...]] = {}

    def above(self, key: str) -> str | None:
        """The key it is plugged into; None for the computer and for what hangs nowhere."""
        plug = self.plugs[key]
        return plug.part if plug is not None and plug.part in self._children else None

    def children(self, key: str) -> tuple[str, ...]:
        """What is plugged into it."""
        return tuple(self._children[key])

    def below(self, key: str) -> tuple[str, ...]:
        """Everything whose path goes through it, depth first, without itself."""
        found: list[str] = []
        pending = list(reversed(self._children[key]))
        while pending:
            name = pending.pop()
            if name == key:
                continue
            found.append(name)
            pending.extend(reversed(self._children[name]))
        return tuple(found)

    def path(self, key: str) -> tuple[str, ...]:
        """The keys from this one up, itself first, the computer left out. Ends where a key hangs nowhere."""
        if key not in self._paths:
            found: dict[str, None] = {}
            here: str | None = key
            while here is not None and here != COMPUTER and here not in found:
                found[here] = None
                here = self.above(here)
            self._paths[key] = tuple(found)
        return self._paths[key]

    def common_ancestor(self, keys: Iterable[str]) -> str | None:
        """The lowest key that all of these hang on (or are); None where they share nothing."""
        chains = [self._from_top(key) for key in keys]
        ancestor = None
        for level in zip(*chains, strict=False):
            if any(key != level[0] for key in level):
                break
            ancestor = level[0]
        return ancestor

    def _from_top(self, key: str) -> tuple[str, ...]:
        path = self.path(key)[::-1]
        return (COMPUTER, *path) if not path or self.above(path[0]) == COMPUTER else path

    def loops(self) -> tuple[str, ...]:
        """Keys that are plugged into each other in a circle."""
        if len(self.wired) == len(self.plugs):
            return ()
        wired = set(self.wired)
        return tuple(key for key in self.plugs if key not in wired and self.above(self.path(key)[-1]) == key)
