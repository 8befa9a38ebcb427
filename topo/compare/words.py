"""Things and places in words, every text of a device escaped. For findings and reports alike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.compare.rootplaces import socket_at
from topo.model.plain import plain
from topo.model.rig import COMPUTER

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.plugged import Thing


def told_name(thing: Thing) -> str:
    """What the device says of itself: its product text, else its ids, else only its kind."""
    own = thing.own
    if own.product:
        return f"'{plain(own.product, 60)}'"
    if own.vendor_id is not None and own.product_id is not None:
        return f"a {thing.word} {plain(own.vendor_id, 8)}:{plain(own.product_id, 8)}"
    return f"a {thing.word} that tells no name"


def name_of(comparison: Comparison, thing: Thing) -> str:
    """The part a thing is, or what it says of itself."""
    part = comparison.part_of(thing.key)
    if part is None and (name := dict(comparison.added).get(thing.key)) is not None:
        return f"{name} ({told_name(thing)}, not in the file)"
    return told_name(thing) if part is None else plain(part)


def where(comparison: Comparison, thing: Thing) -> str:
    """Where a thing is plugged in: the hub it is on and the port there."""
    if thing.above is None:
        return "place not told"
    port = "" if thing.port is None else f" port {thing.port}"
    if thing.above == COMPUTER:
        known = socket_at(comparison.live, thing, comparison.declared.rig.computer.sockets)
        bus = f"bus {thing.seen[0].bus}{port}"
        return f"computer, {bus}" if known is None else f"computer/{plain(known.name)}, {bus}"
    above = comparison.live.thing(thing.above)
    return f"{name_of(comparison, above) if above is not None else plain(thing.above, 40)},{port}"
