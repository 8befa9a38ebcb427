"""Whether a cable can reach another socket, as far as declared lengths tell.

Lengths say how far apart things may be, not where they are. Taking cables as about as long as the way they bridge, the
way to another socket is at least what the longest cable leaves after all others point the other way (the inequality of
a polygon), and at most the sum of all. Below the least no cable can reach; between the two it has to be tried.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from topo.model.rig import COMPUTER
from topo.wiring.topology import Topology

Verdict = Literal["reaches", "try", "unknown", "too-short"]


@dataclass(frozen=True, slots=True)
class Reach:
    """Whether a cable reaches, and the least and most metres that may be needed (None where not known)."""

    verdict: Verdict
    least_m: float | None = None
    most_m: float | None = None


def reach(topology: Topology, start: str | None, from_part: str | None, to_part: str, cable_m: float | None) -> Reach:
    """Whether a cable of `cable_m` reaches from where a part is to a socket of `to_part`.

    `start` is the part itself where it is plugged in already (its own cable bridges the way to `from_part`, the part
    it is plugged into); for a new part `start` is None and `from_part` the part it will sit beside.
    """
    if from_part == to_part:
        return Reach("reaches") if start is not None or cable_m is not None else Reach("unknown")
    if from_part is None:
        return Reach("unknown")
    lengths = _lengths_between(topology, from_part, to_part)
    if start is not None:
        lengths.append(topology.part(start).cable.length_m)
    if any(length is None for length in lengths):
        return Reach("unknown")
    known = [length for length in lengths if length is not None]
    most = sum(known)
    least = max(0.0, 2 * max(known, default=0.0) - most)
    if cable_m is None:
        return Reach("unknown", least, most)
    if cable_m < least - 1e-9:
        return Reach("too-short", least, most)
    return Reach("reaches" if cable_m >= most else "try", least, most)


def _lengths_between(topology: Topology, one: str, other: str) -> list[float | None]:
    """Lengths of the cables on the way between two parts. A part's sockets are taken to be where the part is."""
    mine, theirs = _chain(topology, one), _chain(topology, other)
    while mine and theirs and mine[-1] == theirs[-1]:
        mine.pop()
        theirs.pop()
    return [topology.part(name).cable.length_m for name in (*mine, *theirs)]


def _chain(topology: Topology, name: str) -> list[str]:
    return [leg.part for leg in topology.path(name)] if name != COMPUTER else []
