"""What falls out with what: the parts that lose their 12 V with a part, and those that the computer then reaches no
more. Nothing is solved here."""

from __future__ import annotations

from topo.model.rig import COMPUTER, Rig
from topo.power.tree import fed_by


def dark_with(rig: Rig, name: str) -> tuple[str, ...]:
    """Parts and converters that have their 12 V through one that has none any more, in the order of the leads."""
    known = {part.id for part in rig.parts} | {each.id for each in rig.converters}
    return tuple(end for end in fed_by(rig, name) if end in known and end != name)


def cut_off_with(rig: Rig, names: tuple[str, ...]) -> tuple[str, ...]:
    """Parts that hang, by whatever is between, on sockets of parts without power, and are not among these."""
    found = set(names)
    if COMPUTER in found:
        found.update(part.id for part in rig.plugged if part.plug is not None)
    grows = True
    while grows:
        new = {part.id for part in rig.plugged if part.plug is not None and part.plug.part in found} - found
        grows = bool(new)
        found |= new
    return tuple(part.id for part in rig.plugged if part.id in found and part.id not in names)
