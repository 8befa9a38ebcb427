"""The first slow element between the computer and a thing that could run faster: socket, hub, or leg; at any speed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen
from topo.model.facts import value_of
from topo.model.rig import COMPUTER
from topo.model.speed import Speed
from topo.wiring.kinds import best_mbit

if TYPE_CHECKING:
    from topo.model.comparison import Comparison, Match
    from topo.model.plugged import Thing
    from topo.model.rig import Part
    from topo.model.sighting import HubPort, Sighting

SUPER = 5000.0
STEPS = (12.0, 480.0, 5000.0, 10_000.0, 20_000.0)
"""Where one rate ends and the next begins, Mb/s; below the first is low speed."""
PLUS_VERSION = 3.1
"""What can run at 10 Gb/s says at least USB 3.1 (USB 3.1 9.6.1)."""


@frozen
class SlowElement:
    """What holds a thing back. `thing` is the hub, or what hangs on the slow socket or leg; `certain` where the scan
    decides it by itself."""

    kind: Literal["socket", "hub", "leg"]
    thing: Thing
    certain: bool


def could_mbit(comparison: Comparison, thing: Thing, match: Match | None) -> tuple[float | None, bool]:
    """The rate in Mb/s a thing could run at, and whether the scan itself says so (else the file or its profile)."""
    seen = thing.hub_sides if thing.kind == "hub" and match is None else _sides(thing, match)
    best = best_mbit(seen)
    old = all(side.usb_version is not None and side.usb_version < PLUS_VERSION for side in seen)
    if any(side.could_mbit for side in seen) or ((best or 0) >= SUPER and old) or match is None:
        return best, True
    declared = own_mbit(comparison.study.rig.part(match.part))
    return (declared, False) if declared is not None and declared > (best or 0) else (best, True)


def step_of(mbit: float) -> int:
    """The rank of a rate among those that USB has, from 0; a rate between two is the lower one."""
    return sum(mbit >= rate for rate in STEPS)


def own_mbit(part: Part) -> float | None:
    """The rate in Mb/s that a part itself can run at by the file: 20 Gb/s are two lanes of super-plus."""
    word = value_of(part.own_speed)
    return None if word is None else _on_lanes(Speed.from_word(word), part)


def path_mbit(comparison: Comparison, part_id: str, speed: Speed) -> float:
    """The rate of a leg or part at a speed of the file, Mb/s: with the lanes of the part, if it has any told."""
    return _on_lanes(speed, comparison.declared.rig.part(part_id))


def _on_lanes(speed: Speed, part: Part) -> float:
    lanes = 1 if part.kind == "computer" else value_of(part.facts.lanes, 1)
    return speed.mbit * (lanes if speed is Speed.SUPER_PLUS else 1)


def _sides(thing: Thing, match: Match | None) -> tuple[Sighting, ...]:
    if match is not None and match.kind == "device":
        return (match.own,) if match.own is not None else ()
    return thing.seen if thing.kind == "hub" else (thing.own,)


def first_slow(comparison: Comparison, thing: Thing, target_mbit: float = SUPER) -> SlowElement | None:
    """The first element, from the computer down, whose link runs below that rate; None where there is none.

    A link whose rate is not told is not accused.
    """
    for step in comparison.live.path(thing):
        rate = step.most_mbit
        if rate is None or rate >= target_mbit:
            continue
        if (socket := _socket(comparison, step, target_mbit)) is not None:
            return socket
        return _itself(comparison, step, target_mbit)
    return None


def _socket(comparison: Comparison, step: Thing, target_mbit: float) -> SlowElement | None:
    """The socket of the computer, where the scan shows that it carries no more."""
    if step.above != COMPUTER:
        return None
    first = step.seen[0]
    roots = [s for s in comparison.scan.sightings if s.is_root and s.controller == first.controller]
    if first.controller is not None and all((root.speed_mbit or target_mbit) < target_mbit for root in roots):
        return SlowElement("socket", step, True)
    port = port_of(comparison, first)
    if port is None or port.peer is not None or not _peers_told(comparison, port.hub) or target_mbit < SUPER:
        return None
    return SlowElement("socket", step, port.connect_type is not None) if not first.is_super else None


def port_of(comparison: Comparison, seen: Sighting) -> HubPort | None:
    """What the scan tells of the port that a sighting is in."""
    if not seen.ports:
        return None
    return next((p for p in comparison.scan.ports if (p.hub, p.number) == (seen.parent, seen.ports[-1])), None)


def _peers_told(comparison: Comparison, hub: str) -> bool:
    return any(port.hub == hub and port.peer is not None for port in comparison.scan.ports)


def _itself(comparison: Comparison, step: Thing, target_mbit: float) -> SlowElement:
    """A hub that can do no more is the slow element itself; anything that could do more hangs on a slow leg."""
    part = comparison.part_of(step.key)
    match = comparison.match(part) if part is not None else None
    if step.kind != "hub" or (match is not None and match.kind == "device" and step.key == match.thing.key):
        return SlowElement("leg", step, _decided(step))
    could = best_mbit(step.seen) or 0
    if could >= target_mbit:
        return SlowElement("leg", step, True)
    old = all(side.usb_version is not None and side.usb_version < 2 for side in step.seen)
    if _decided(step) if target_mbit >= SUPER else old:
        return SlowElement("hub", step, True)
    word = value_of(comparison.declared.rig.part(match.part).own_speed) if match is not None else None
    faster = word is not None and Speed.from_word(word).mbit >= target_mbit
    return SlowElement("leg" if faster or target_mbit < SUPER else "hub", step, False)


def _decided(step: Thing) -> bool:
    """True where its BOS was read, or its version says that it has none."""
    return all(side.could_mbit or (side.usb_version is not None and side.usb_version < 2.01) for side in step.seen)
