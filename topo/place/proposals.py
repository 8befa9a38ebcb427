"""What a person could do, each made as it would be done: the plug, the cable that reaches, the part that is bought.

Nothing is judged here. A move whose own cable surely cannot reach is a move with another cable, of a length that
reaches and of a grade that carries what runs there; where no cable does both it is no proposal. Where the length needed
is a range, the cable is computed at its longest, since that is where it carries least.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import compress
from typing import TYPE_CHECKING, Literal

from topo.frozen import replace
from topo.model.change import AddPart, MovePlug, Proposal, SetCable, SwapPlugs
from topo.model.facts import Fact, value_of
from topo.model.plain import plain
from topo.model.records import CableFacts
from topo.model.rig import COMPUTER, Hub, Part, Plug, Socket
from topo.model.speed import Speed
from topo.place.candidates import Candidate, candidates, kind_needed
from topo.usb.limits import longest_cable_m
from topo.wiring.bought import best_behind, bought_card, bought_hub, carried, free_name, hub_speed, hub_words
from topo.wiring.reach import NEVER_SENT, Reach, ends_elsewhere, reach

if TYPE_CHECKING:
    from topo.wiring.topology import Topology

LONGEST_ACTIVE_USB2_M = 25.0
"""Five hubs in a row with 5 m behind each (USB 2.0 4.1.1, 7.1.16): the longest active USB 2 cable there can be."""

LONGEST_ACTIVE_USB3_M = 10.0
"""Active USB 3 cables of copper that are easy to come by end here (common practice, no source)."""

HARDLY = 1.25
"""A cable this many times as long as its speed allows may do with less (our own, no source)."""


def longest_active_m(speed: Speed) -> float:
    """The longest active cable there is for a speed, metres."""
    return LONGEST_ACTIVE_USB3_M if speed.is_superspeed else LONGEST_ACTIVE_USB2_M


def moves(topology: Topology, name: str) -> Iterator[Proposal]:
    """Moves of a wired part to free sockets, one of each class; sockets that carry more than the part can use last.

    Nothing goes to another place (`topo/wiring/reach.py`).
    """
    part = topology.part(name)
    if part.plug is None or topology.leg(name) is None:
        return
    found, _ = candidates(topology, part, None, None)
    own = best_behind(topology, name)
    wasted = [each.socket.speed.is_superspeed and not own.is_superspeed for each in found]
    for each in (*compress(found, (not waste for waste in wasted)), *compress(found, wasted)):
        yield from _to(topology, part, each)


def _to(topology: Topology, part: Part, target: Candidate) -> Iterator[Proposal]:
    """A move with the cable there, or with one that reaches and carries what runs on it."""
    assert part.plug is not None
    way = reach(topology, part.id, part.plug.part, target.above, value_of(part.cable.length_m))
    if way.verdict == "elsewhere":
        return
    move = MovePlug(part.id, target.above, target.socket.name)
    there = min(carried(topology, target.above, target.socket), best_behind(topology, part.id))
    if way.verdict != "too-short":
        yield Proposal((move,), to_try=_to_try(part, way))
    if way.verdict == "too-short" or (there.is_superspeed and value_of(part.cable.grade) == "usb2"):
        bought = new_cable(part, there, way)
        if bought is not None and not (way.across is not None and bought[2]):  # nothing to try in another place
            cable, words, doubt = bought
            yield Proposal((move, SetCable(part.id, cable)), (words,), doubt)


def _to_try(part: Part, way: Reach) -> tuple[str, ...]:
    if way.verdict != "try" or way.most_m is None:
        return ()
    length = value_of(part.cable.length_m, 0.0)
    return (f"{plain(part.id)}: up to {way.most_m:.2g} m may be needed, its cable has {length:g} m",)


def new_cable(part: Part, speed: Speed, way: Reach) -> tuple[CableFacts, str, tuple[str, ...]] | None:
    """A cable that reaches and carries a speed, what to buy in words, and what has to be tried; None where there is
    none to be had. Of a passive cable no more than its speed allows; past that an active one."""
    grade = "USB 3 cable" if speed.is_superspeed else "USB cable"
    word: Grade | None = value_of(part.cable.grade) if not speed.is_superspeed else "usb3"
    longest = longest_cable_m(speed)
    if way.least_m is None or way.most_m is None:
        return _cable(None, word), f"a {grade} that reaches, of {longest:g} m at most, for {plain(part.id)}", ()
    if way.least_m <= longest:
        length, doubt = min(way.most_m, longest), way.most_m > longest
        words = f"a {grade} of {span(way.least_m, length)} m for {plain(part.id)}"
        return _cable(length, word), words, _doubt(part, length, way.most_m) if doubt else ()
    active = longest_active_m(speed)
    if way.least_m <= active:
        length, doubt = min(way.most_m, active), way.most_m > active
        words = f"an active {grade} of {span(way.least_m, length)} m for {plain(part.id)}"
        return _cable(length, word, active=True), words, _doubt(part, length, way.most_m) if doubt else ()
    return None


def span(least: float, most: float) -> str:
    """Metres from the least that may be needed to the most, as one figure where they are the same."""
    return f"{most:.2g}" if most - least < 0.05 else f"{least:.2g} to {most:.2g}"


def _doubt(part: Part, length: float, most: float) -> tuple[str, ...]:
    return (f"{plain(part.id)}: up to {most:.2g} m may be needed, and {length:g} m is the longest that carries it",)


def swaps(topology: Topology, name: str, others: Iterable[str]) -> Iterator[Proposal]:
    """Two parts that change places, each with the cable it has. Neither may hang on the other."""
    part = topology.part(name)
    leg = topology.leg(name)
    if part.plug is None or leg is None:
        return
    for other_name in others:
        other, there = topology.part(other_name), topology.leg(other_name)
        if other.plug is None or there is None or other.plug == part.plug or other_name == name:
            continue
        if name in topology.below(other_name) or other_name in topology.below(name):
            continue
        if kind_needed(topology, part) != there.socket.kind or kind_needed(topology, other) != leg.socket.kind:
            continue
        ways = (
            (part, reach(topology, name, leg.above, there.above, value_of(part.cable.length_m))),
            (other, reach(topology, other_name, there.above, leg.above, value_of(other.cable.length_m))),
        )
        if not any(way.verdict in NEVER_SENT for _, way in ways):
            to_try = tuple(words for who, way in ways for words in _to_try(who, way))
            yield Proposal((SwapPlugs(name, other_name),), to_try=to_try)


def cables(topology: Topology, name: str) -> Iterator[Proposal]:
    """Another cable on the leg of a part, where the one there is said to carry too little or is longer than its speed
    allows: one as long where that is allowed, else the longest that is, else an active one."""
    part, leg = topology.part(name), topology.leg(name)
    extended = isinstance(part, Hub) and value_of(part.facts.over, "usb") != "usb"
    if leg is None or leg.socket.kind != "usb" or value_of(part.cable.active) or extended:
        return
    best = min(carried(topology, leg.above, leg.socket), best_behind(topology, name))
    length = value_of(part.cable.length_m)
    poor = value_of(part.cable.grade) == "usb2" and best.is_superspeed
    long = length is not None and length > longest_cable_m(best)
    if not poor and not long:
        return
    grade = "USB 3 cable" if best.is_superspeed else "USB cable"
    word: Grade | None = "usb3" if best.is_superspeed else value_of(part.cable.grade)
    if not long:
        size = "" if length is None else f" of {length:g} m"
        yield Proposal((SetCable(name, _cable(length, word)),), (f"a {grade}{size} for {plain(name)}",))
        return
    assert length is not None
    allowed = longest_cable_m(best)
    if length <= allowed * HARDLY:
        doubt = f"{plain(name)}: whether {allowed:g} m reach, its cable has {length:g} m"
        words = f"a {grade} of {allowed:g} m at most for {plain(name)}"
        yield Proposal((SetCable(name, _cable(allowed, word)),), (words,), (doubt,))
    if length <= longest_active_m(best):
        words = f"an active {grade} of {length:g} m for {plain(name)}"
        yield Proposal((SetCable(name, _cable(length, word, active=True)),), (words,))


def powered_in_place(topology: Topology, name: str) -> Iterator[Proposal]:
    """A hub with a supply of its own in place of one that has none, with as many sockets."""
    hub = topology.part(name)
    if not isinstance(hub, Hub) or value_of(hub.facts.powered, True):
        return
    sockets, leg = tuple(socket.name for socket in hub.sockets), topology.leg(name)
    speed = Speed.SUPER if leg is None else hub_speed(topology, (name,), leg.above, leg.socket)
    new = replace(bought_hub(name, hub.plug, sockets, speed), cable=hub.cable, place=hub.place)
    yield Proposal((AddPart(new),), (f"{hub_words(speed)} in place of {plain(name)}",))


def raised(topology: Topology, proposal: Proposal) -> Proposal:
    """A proposal for a rig with a bought USB 2 hub made a USB 3 one, where what is put on it later can use that."""
    for step in proposal.steps:
        if not isinstance(step, AddPart) or not isinstance(step.part, Hub) or step.part.plug is None:
            continue
        hub, above = step.part, topology.part(step.part.plug.part)
        socket = above.socket(step.part.plug.socket)
        moved = [each.part for each in proposal.steps if isinstance(each, MovePlug) and each.to_part == hub.id]
        if not moved or socket is None or hub.inner_speed.is_superspeed:
            continue
        if hub_speed(topology, moved, above.id, socket).is_superspeed:
            new = bought_hub(hub.id, hub.plug, tuple(each.name for each in hub.sockets))
            cable = hub.cable if hub.id in topology.tree.plugs else new.cable  # one in place of another keeps its cable
            new = replace(hub, facts=new.facts, sockets=new.sockets, cable=cable)
            words = (each.replace(hub_words(Speed.HIGH), hub_words(Speed.SUPER), 1) for each in proposal.buys)
            steps = tuple(AddPart(new) if each is step else each for each in proposal.steps)
            return Proposal(steps, tuple(words), proposal.to_try)
    return proposal


def hub_for(topology: Topology, name: str) -> Iterator[Proposal]:
    """A powered hub that is bought, with the part on it: into the socket that the part leaves, or into a free socket of
    the computer on another controller or bus."""
    part, leg = topology.part(name), topology.leg(name)
    if part.plug is None or leg is None or leg.socket.kind != "usb" or part.kind == "hub" or ends_elsewhere(part):
        return
    speed = hub_speed(topology, (name,), leg.above, leg.socket)
    new = bought_hub(free_name(topology.rig), part.plug, speed=speed)
    words = f"{hub_words(speed)} for {plain(str(part.plug))}"
    yield Proposal((AddPart(new), MovePlug(name, new.id, "1")), (words,))
    seen = {_of(leg.socket)}
    for above, socket in topology.free_sockets():
        if above != COMPUTER or socket.kind != "usb" or _of(socket) in seen:
            continue
        seen.add(_of(socket))
        way = reach(topology, name, leg.above, above, value_of(part.cable.length_m))
        if way.verdict in NEVER_SENT:
            continue
        speed = hub_speed(topology, (name,), above, socket)
        new = bought_hub(free_name(topology.rig), Plug(above, socket.name), speed=speed)
        words = f"{hub_words(speed)} for {plain(above)}/{plain(socket.name)}"
        yield Proposal((AddPart(new), MovePlug(name, new.id, "1")), (words,), _to_try(part, way))


def card_for(topology: Topology, name: str) -> Iterator[Proposal]:
    """A card with controllers of its own that is bought, with the part on its first socket; only for a computer that is
    known to have a slot free."""
    computer, part, leg = topology.rig.computer, topology.part(name), topology.leg(name)
    if not value_of(computer.facts.card_slots, 0) or part.plug is None or leg is None or leg.socket.kind != "usb":
        return
    if ends_elsewhere(part):
        return
    way = reach(topology, name, leg.above, COMPUTER, value_of(part.cable.length_m))
    if way.verdict not in NEVER_SENT:
        card = bought_card(computer)
        words = f"a card with a USB 3 controller for each of its {len(card.sockets)} sockets"
        yield Proposal((card, MovePlug(name, COMPUTER, card.sockets[0].name)), (words,), _to_try(part, way))


def _of(socket: Socket) -> tuple[object, ...]:
    return socket.controller, socket.usb2_bus, socket.speed


Grade = Literal["usb2", "usb3"]


def _cable(length_m: float | None, grade: Grade | None, active: bool = False) -> CableFacts:
    """A cable that is bought, as far as it is settled."""
    return CableFacts(
        length_m=None if length_m is None else Fact(length_m, "assumed", "as advised"),
        grade=None if grade is None else Fact(grade, "assumed", "as advised"),
        active=Fact(True, "assumed", "as advised") if active else None,
    )
