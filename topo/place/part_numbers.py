"""Numbers of parts, by which equal ones are known: a part is hashed once, which costs more than all else of a look.

The same of what feeds a rig.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from topo.frozen import replace
from topo.model.records import CableFacts

if TYPE_CHECKING:
    from topo.model.rig import AnyPart, Device, Rig

NO_CABLE = CableFacts()

Numbered = dict[int, tuple[object, int]]


class PartNumbers:
    """Numbers that equal parts have alike, as long as this is kept."""

    def __init__(self) -> None:
        self._same: dict[AnyPart, AnyPart] = {}
        self._known: Numbered = {}
        self._bare: Numbered = {}
        self._cableless: Numbered = {}
        self._plugless: Numbered = {}
        self._elsewhere: Numbered = {}
        self._feeds: dict[tuple[object, ...], int] = {}
        self._fed: dict[tuple[int, int], tuple[object, int]] = {}

    def of(self, part: AnyPart) -> int:
        """The number of a part."""
        known = self._known.get(id(part))
        if known is None or known[0] is not part:
            same = self._same.setdefault(part, part)
            self._known[id(part)] = known = part, id(same)
        return known[1]

    def bare(self, part: AnyPart) -> int:
        """That of a part without its plug, and without what its leg was seen to carry."""
        return self._without(part, self._bare, plug=None, leg_speed=None)

    def without_plug(self, part: AnyPart) -> int:
        """The same with what its leg was seen to carry."""
        return self._without(part, self._plugless, plug=None)

    def without_cable(self, part: AnyPart) -> int:
        """That of a part by itself, without plug and cable."""
        return self._without(part, self._cableless, plug=None, leg_speed=None, cable=NO_CABLE)

    def elsewhere(self, part: Device) -> int:
        """That of a device without what matters only where it is plugged in: its plug, its cable, its limit."""
        found = self._elsewhere.get(id(part))
        if found is None or found[0] is not part:
            use = part.use if part.use.limit_mb_per_s is None else replace(part.use, limit_mb_per_s=None)
            known = replace(part, plug=None, leg_speed=None, cable=NO_CABLE, use=use)
            self._elsewhere[id(part)] = found = part, self.of(known)
        return found[1]

    def feeds(self, rig: Rig) -> int:
        """A number of supplies and leads: few plans change any, and to hash them costs as much as all parts."""
        by_identity = id(rig.supplies), id(rig.leads)
        found = self._fed.get(by_identity)
        if found is None:
            both = rig.supplies, rig.leads
            self._fed[by_identity] = found = both, self._feeds.setdefault(both, len(self._feeds))
        return found[1]

    def _without(self, part: AnyPart, known: Numbered, **without: Any) -> int:
        found = known.get(id(part))
        if found is None or found[0] is not part:
            known[id(part)] = found = part, self.of(replace(part, **without))
        return found[1]
