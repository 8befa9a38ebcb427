"""Grounds: which negatives are joined by 12 V leads, and which meet only in a data cable. Union-find, nothing solved.

Every 12 V lead joins the negatives of its two ends, converters and boxes pass theirs on, and every copper data cable
joins the grounds of the parts at its ends. An extender over network cable or fibre and an isolator join nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.facts import value_of
from topo.model.rig import Device, Hub

if TYPE_CHECKING:
    from topo.model.rig import Rig


class Joined:
    """Things that are joined to others, in groups. Asking for something new makes a group of its own."""

    def __init__(self) -> None:
        self._above: dict[str, str] = {}

    def root(self, name: str) -> str:
        """The one that stands for a thing's group."""
        path = []
        while (above := self._above.setdefault(name, name)) != name:
            path.append(name)
            name = above
        for each in path:
            self._above[each] = name
        return name

    def join(self, one: str, other: str) -> bool:
        """Makes two groups one. False where they were one already."""
        a, b = self.root(one), self.root(other)
        self._above[b] = a
        return a != b


@frozen
class DataJoin:
    """A data cable (the leg of `part`) by which the negatives of supplies meet that no 12 V lead joins.

    `supplies` are those of the two groups it joins, in the order of the file.
    """

    part: str
    above: str
    supplies: tuple[str, ...]


@frozen
class GroundMap:
    """`groups` are supplies whose negatives 12 V leads join, in the order of the file; `meets` where groups meet in
    data cables alone, the first cable of each; `loops` the parts whose data cable closes a loop with the 12 V side."""

    groups: tuple[tuple[str, ...], ...]
    meets: tuple[DataJoin, ...]
    loops: tuple[str, ...]


def grounds(rig: Rig) -> GroundMap:
    """The grounds of a rig."""
    by_leads = _by_leads(rig)
    names = [supply.id for supply in rig.supplies]
    groups = _groups(by_leads, names)
    joined, meets, loops = Joined(), list[DataJoin](), list[str]()
    for part, above in data_cables(rig):
        one, other = by_leads.root(above), by_leads.root(part)
        if not joined.join(one, other):
            loops.append(part)
            continue
        # Those whose supplies come together by it: all of both sides, as far as supplies hang there now.
        together = [name for name in names if joined.root(by_leads.root(name)) == joined.root(one)]
        if len({by_leads.root(name) for name in together}) > 1 and _is_new(together, meets):
            meets.append(DataJoin(part, above, tuple(together)))
    return GroundMap(groups, tuple(meets), tuple(loops))


def _is_new(together: list[str], meets: Iterable[DataJoin]) -> bool:
    return not any(set(together) <= set(each.supplies) for each in meets)


def _by_leads(rig: Rig) -> Joined:
    joined = Joined()
    for supply in rig.supplies:
        joined.root(supply.id)
    for lead in rig.leads:
        for end in lead.ends:
            joined.join(lead.source, end)
    return joined


def _groups(joined: Joined, names: list[str]) -> tuple[tuple[str, ...], ...]:
    found: dict[str, list[str]] = {}
    for name in names:
        found.setdefault(joined.root(name), []).append(name)
    return tuple(tuple(group) for group in found.values())


def data_cables(rig: Rig) -> tuple[tuple[str, str], ...]:
    """Every data cable that joins two grounds: (part, what it is plugged into), in the order of the file."""
    known = {part.id for part in rig.parts}
    found = []
    for part in rig.plugged:
        if part.plug is None or part.plug.part not in known or cuts_ground(part):
            continue
        found.append((part.id, part.plug.part))
    return tuple(found)


def cuts_ground(part: Hub | Device) -> bool:
    """Whether a part's own leg carries no ground: an extender over network or fibre, an isolator, a radio."""
    if isinstance(part, Hub):
        return value_of(part.facts.over, "usb") != "usb" or bool(value_of(part.facts.isolates))
    return value_of(part.serial.over, "usb") != "usb"
