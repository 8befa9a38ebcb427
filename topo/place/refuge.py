"""Where parts that lost their socket go meanwhile: the most important first, into a free socket or a lesser part's.

Sockets are ranked by what a path tells alone (speed, who is on the same bus, reach of the cable, SuperSpeed sockets
kept for those who need them); what it comes to is computed once with all of them plugged in, by `planb.py`. A part
that is pulled out for another may find a free socket itself, and is left out where there is none: two moves deep.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.frozen import frozen, replace
from topo.model.facts import value_of
from topo.model.rig import COMPUTER, Computer, Plug, Rig
from topo.place.candidates import Candidate, candidates, kind_needed
from topo.place.services import rank
from topo.wiring.bought import best_behind, carried
from topo.wiring.reach import NEVER_SENT, reach
from topo.wiring.topology import Topology

if TYPE_CHECKING:
    from topo.model.rig import Device, Hub


@frozen
class Refuge:
    """Where a part goes meanwhile. `plug` is None where there is no place; `why` says so, or what is to be tried.

    `instead_of` is a lesser part that makes room; its own refuge follows, or it is left out.
    """

    part: str
    plug: str | None
    why: str = ""
    instead_of: str | None = None


def refuges(before: Topology, rig: Rig, orphans: tuple[str, ...]) -> tuple[tuple[Refuge, ...], Rig]:
    """Refuges for orphans on the rig that is left (they stand in it unplugged), and the rig with all plugged in.

    `before` is the rig as it was wired: reach is asked of that.
    """
    found: list[Refuge] = []
    order = {part.id: index for index, part in enumerate(before.rig.parts)}
    pending = sorted(orphans, key=lambda name: (rank(before.rig, (name, *before.below(name))), order[name]))
    for name in pending:
        topology = Topology(rig)
        if (way := _free(before, topology, name)) is not None:
            found.append(_refuge(before, topology, name, way))
            rig = plugged_at(rig, name, way.plug)
        elif (room := _room(before, topology, name, {each.part for each in found})) is not None:
            victim, way = room
            found.append(replace(_refuge(before, topology, name, way), instead_of=victim))
            rig = plugged_at(unplugged(rig, victim), name, way.plug)
            left = Topology(rig)
            then = _free(before, left, victim)
            found.append(
                Refuge(victim, None, "it makes room") if then is None else _refuge(before, left, victim, then)
            )
            rig = rig if then is None else plugged_at(rig, victim, then.plug)
        else:
            found.append(Refuge(name, None, _why_none(before, topology, name)))
    return tuple(found), rig


def _refuge(before: Topology, now: Topology, name: str, way: Candidate) -> Refuge:
    """A refuge, with what has to be tried, and that it is slower there where it is."""
    why = []
    if way.reach.verdict == "try" and way.reach.most_m is not None:
        why.append(f"up to {way.reach.most_m:.2g} m may be needed")
    was = before.speed(name)
    if was is not None and carried(now, way.above, way.socket) < was:
        why.append("at a lower USB speed")
    return Refuge(name, way.plug, ", ".join(why))


def _free(before: Topology, now: Topology, name: str) -> Candidate | None:
    """The best free socket a part may be sent to."""
    return min(_fitting(before, now, name), key=lambda way: _worth(now, name, way), default=None)


def _fitting(before: Topology, now: Topology, name: str) -> Iterator[Candidate]:
    part = before.part(name)
    found, _ = candidates(now, now.part(name), None, None, None, kind_needed(before, part))
    home = part.plug.part if part.plug is not None else None
    for each in found:
        way = reach(before, name, home, each.above, value_of(part.cable.length_m))
        if way.verdict not in NEVER_SENT:
            yield replace(each, reach=way)


def _worth(now: Topology, name: str, way: Candidate) -> tuple[object, ...]:
    """Smaller is better: no slower than it can be, few cameras on its bus, no cable to try, no SuperSpeed wasted."""
    own = best_behind(now, name)
    there = min(carried(now, way.above, way.socket), own)
    root = way.socket if way.above == COMPUTER else now.root_socket(way.above)
    bus = None if root is None else (root.controller, root.usb2_bus)
    cameras = 0
    for other in now.rig.devices:
        socket = now.root_socket(other.id)
        speed = now.speed(other.id)
        if not other.sends_frames or socket is None or speed is None or other.id == name:
            continue
        cameras += (socket.controller, socket.usb2_bus) == bus and speed.is_superspeed == there.is_superspeed
    wasted = way.socket.speed.is_superspeed and not own.is_superspeed
    return own - there, cameras, way.reach.verdict == "try", wasted


def _room(before: Topology, now: Topology, name: str, settled: set[str]) -> tuple[str, Candidate] | None:
    """The least important part that a part may take the socket of, and that socket; none just settled."""
    mine = rank(before.rig, (name, *before.below(name)))
    lesser = [
        part.id
        for part in reversed(now.rig.devices)
        if part.id not in settled
        and now.leg(part.id) is not None
        and not now.children(part.id)
        and rank(now.rig, (part.id,)) > mine
    ]
    for victim in sorted(lesser, key=lambda each: -rank(now.rig, (each,))):
        plug = now.part(victim).plug
        without = Topology(unplugged(now.rig, victim))
        for way in _fitting(before, without, name):
            if plug is not None and way.plug == str(plug):
                return victim, way
    return None


def _why_none(before: Topology, now: Topology, name: str) -> str:
    found, _ = candidates(now, now.part(name), None, None, None, kind_needed(before, before.part(name)))
    return "no free socket is near enough" if found else "no free socket takes it"


def plugged_at(rig: Rig, name: str, plug: str) -> Rig:
    """The rig with a part in a socket, PART/SOCKET."""
    above, _, socket = plug.partition("/")
    return rig.with_part(replace(_movable(rig, name), plug=Plug(above, socket)))


def unplugged(rig: Rig, name: str) -> Rig:
    """The rig with a part in no socket."""
    return rig.with_part(replace(_movable(rig, name), plug=None))


def _movable(rig: Rig, name: str) -> Hub | Device:
    part = rig.part(name)
    assert not isinstance(part, Computer)
    return part
