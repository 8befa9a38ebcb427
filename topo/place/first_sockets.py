"""Parts put into the first socket of their kind: in which of several like sockets a part sits changes its name and
nothing else, so rigs that differ in that alone become one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.frozen import replace
from topo.model.rig import Plug

if TYPE_CHECKING:
    from collections.abc import Container

    from topo.model.rig import AnyPart, Device, Hub, Rig, Socket
    from topo.place.part_numbers import PartNumbers


class FirstSockets:
    """Puts parts there; equal ones become one part, so that its number is soon known."""

    def __init__(self, numbers: PartNumbers) -> None:
        self._numbers = numbers
        self._kinds: dict[int, tuple[tuple[Socket, ...], dict[str, tuple[str, ...]]]] = {}
        self._replugged: dict[tuple[int, Plug], Hub | Device] = {}

    def put(self, rig: Rig, named: Container[str]) -> Rig:
        """The rig with each of these parts in the first socket of its kind that is free for it among them."""
        taken: dict[tuple[str, str], tuple[str, str]] = {}
        parts: tuple[Hub | Device, ...] = (*rig.hubs, *rig.devices)
        for part in parts:
            if part.id not in named or part.plug is None:
                continue
            at = part.plug.part, part.plug.socket
            if at not in taken:
                like = self._like(rig.part(at[0]), at[1])
                taken[at] = at[0], next(name for name in like if (at[0], name) not in taken.values())
            if taken[at] != at:
                rig = rig.with_part(self._moved(part, Plug(*taken[at])))
        return rig

    def _like(self, above: AnyPart, name: str) -> tuple[str, ...]:
        """The sockets of a part that differ from one in nothing but their name, itself among them."""
        sockets = above.sockets
        known = self._kinds.get(id(sockets))  # to hash them all takes longer than all else of a look
        if known is None or known[0] is not sockets:
            kinds: dict[object, list[str]] = {}
            for each in sockets:
                kinds.setdefault(replace(each, name=""), []).append(each.name)
            known = self._kinds[id(sockets)] = sockets, {n: tuple(names) for names in kinds.values() for n in names}
        return known[1].get(name, (name,))

    def _moved(self, part: Hub | Device, plug: Plug) -> Hub | Device:
        key = self._numbers.of(part), plug
        if key not in self._replugged:
            self._replugged[key] = replace(part, plug=plug)
        return self._replugged[key]
