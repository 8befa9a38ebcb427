"""Whether a cable can reach another socket, as far as declared lengths tell.

Lengths say how far apart things may be, not where they are. Taking cables as about as long as the way they bridge, the
way to another socket is at least what the longest cable leaves after all others point the other way (the inequality of
a polygon), and at most the sum of all. Below the least no cable can reach; between the two it has to be tried.

What hangs at the end of a long leg is in another place: a leg declared 5 m or longer, or one of an active cable or an
extender, however long. Parts on one side of it are not sent to sockets on the other side unless their cable surely
reaches. A part's own cable is no such leg for the part itself: it goes from there to wherever the part is.
"""

from __future__ import annotations

import math
from typing import Literal

from topo.frozen import frozen
from topo.model.facts import value_of
from topo.model.rig import COMPUTER, Hub, Part
from topo.wiring.topology import Topology

ReachVerdict = Literal["reaches", "try", "unknown", "elsewhere", "too-short"]

NEVER_SENT: tuple[ReachVerdict, ...] = ("elsewhere", "too-short")
"""Where a part that is plugged in already is not sent."""

LONG_M = 5.0
"""From this length on a leg leads to another place (common practice, no source)."""

@frozen
class Reach:
    """Whether a cable reaches, the least and most metres that may be needed (None where not known), and the part whose
    long leg lies between, if one does."""

    verdict: ReachVerdict
    least_m: float | None = None
    most_m: float | None = None
    across: str | None = None


def reach(topology: Topology, start: str | None, from_part: str | None, to_part: str, cable_m: float | None) -> Reach:
    """Whether a cable of `cable_m` reaches from where a part is to a socket of `to_part`.

    `start` is the part itself where it is plugged in already (its own cable bridges the way to `from_part`, the part
    it is plugged into); for a new part `start` is None and `from_part` the part it will sit beside.
    """
    if from_part == to_part:
        return Reach("reaches") if start is not None or cable_m is not None else Reach("unknown")
    if from_part is None:
        return Reach("unknown")
    between = _between(topology, from_part, to_part)
    across = next((part.id for part in between if ends_elsewhere(part)), None)
    doubtful: ReachVerdict = "unknown" if across is None else "elsewhere"
    lengths = [value_of(part.cable.length_m) for part in between]
    if start is not None:
        lengths.append(value_of(topology.part(start).cable.length_m))
    if any(length is None for length in lengths):
        return Reach(doubtful, across=across)
    known = [length for length in lengths if length is not None]
    most = math.fsum(known)
    least = max(0.0, 2 * max(known, default=0.0) - most)
    if cable_m is None:
        return Reach(doubtful, least, most, across)
    if cable_m < least - 1e-9:
        return Reach("too-short", least, most, across)
    if cable_m >= most:
        return Reach("reaches", least, most, across)
    return Reach("try" if across is None else "elsewhere", least, most, across)


def ends_elsewhere(part: Part) -> bool:
    """Whether a part's leg is a long one, so that what hangs on the part is in another place."""
    long = value_of(part.cable.length_m, 0.0) >= LONG_M
    return long or value_of(part.cable.active, False) or is_extension(part)


def is_extension(part: Part) -> bool:
    """True for a hub with one socket: nobody sells one but as an active cable, or as the far end of an extender; and
    for one whose leg is said to be a network cable or fibre."""
    return isinstance(part, Hub) and (value_of(part.facts.ports) == 1 or value_of(part.facts.over, "usb") != "usb")


def _between(topology: Topology, one: str, other: str) -> list[Part]:
    """The parts whose cables are the way between two parts. A part's sockets are taken to be where the part is."""
    mine, theirs = _chain(topology, one), _chain(topology, other)
    while mine and theirs and mine[-1] == theirs[-1]:
        mine.pop()
        theirs.pop()
    return [topology.part(name) for name in (*mine, *theirs)]


def _chain(topology: Topology, name: str) -> list[str]:
    return [leg.part for leg in topology.path(name)] if name != COMPUTER else []
