"""Which part is which thing: the declared tree laid over the live one, so that together they fit best.

The value of a part and a thing is how well they fit themselves plus the best assignment of what is behind them, and so
on down: a hub is known by what is behind it. Each assignment is exact, so the whole is the best there is.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from topo.compare.likeness import BACK_PLACE, BASE, IDS, PLACE, TWIN, TWIN_PLACE, fit, has_serial_of
from topo.compare.rootplaces import is_at
from topo.frozen import frozen, replace
from topo.model.rig import COMPUTER, Part
from topo.wiring.matching import best_pairs

if TYPE_CHECKING:
    from topo.model.comparison import MatchedBy
    from topo.model.plugged import PluggedIn, Thing
    from topo.wiring.topology import Topology


@frozen
class Fit:
    """One way a part can be a thing: value of the two alone, what is left to be behind it, and what it takes up.

    `numbered` tells whether a port number below that is the socket's says where it is: with several hub chips in one
    case it is a preference only. With `onward` the thing is an active cable, and the part is what is behind it.
    """

    value: int
    pool: tuple[Thing, ...]
    inside: Thing | None = None
    extra: tuple[Thing, ...] = ()
    only_hub: bool = False
    numbered: bool = True
    onward: Thing | None = None


@frozen
class Choice:
    """The best way for a part to be a thing, its whole value, and who is behind it."""

    value: int
    fit: Fit
    pairs: tuple[tuple[str, Thing], ...]


@frozen
class Pairing:
    """A part and its thing in an alignment. `above` is the part it was found behind, None where it was found loose."""

    part: str
    thing: Thing
    fit: Fit
    by: MatchedBy
    above: str | None


class Aligner:
    """Values and best choices for pairs of a part and a thing, each worked out once."""

    def __init__(self, topology: Topology, live: PluggedIn) -> None:
        self.topology = topology
        self.live = live
        self._serials_told = live.scan.limits.serials == "all"
        self._choices: dict[tuple[str, str], Choice | None] = {}
        self._known = _known_by_serial(topology, live)
        self._found = {part: key for key, part in self._known.items()}

    def fit(self, part: Part, thing: Thing) -> int:
        """How well a thing itself fits a part itself; 0 where it cannot be, or one of them is known to be another."""
        if self._known.get(thing.key, part.id) != part.id or self._found.get(part.id, thing.key) != thing.key:
            return 0
        return fit(part, thing, self._serials_told)

    def usb_children(self, part_id: str) -> tuple[str, ...]:
        """Parts behind this one that a scan can show."""
        return tuple(child for child in self.topology.children(part_id) if may_be_seen(self.topology, child))

    def value(self, part_id: str, thing: Thing) -> int:
        """The greatest value of a part being a thing, with all behind them; 0 where it cannot be."""
        choice = self.choice(part_id, thing)
        return choice.value if choice is not None else 0

    def choice(self, part_id: str, thing: Thing) -> Choice | None:
        """The best way for a part to be a thing; the first of equal ones."""
        key = (part_id, thing.key)
        if key not in self._choices:
            best: Choice | None = None
            for way in self._ways(self.topology.part(part_id), thing):
                choice = self._below(part_id, way)
                if choice.value and (best is None or choice.value > best.value):
                    best = choice
            self._choices[key] = best
        return self._choices[key]

    def _below(self, part_id: str, way: Fit) -> Choice:
        """A way with what is behind it. A hub behind which all is strange is another hub, unless its ids say not."""
        if way.onward is not None:
            behind = self.value(part_id, way.onward)
            return Choice(way.value + behind if behind else 0, way, ((part_id, way.onward),))
        value, pairs = self.assigned(part_id, way.pool)
        is_hub = way.only_hub or self.topology.part(part_id).kind == "hub"
        if is_hub and not pairs and way.value < IDS and way.pool and self.usb_children(part_id):
            return Choice(0, way, ())
        return Choice(way.value + value, way, pairs)

    def assigned(
        self, above: str, pool: Sequence[Thing], numbered: bool = True
    ) -> tuple[int, tuple[tuple[str, Thing], ...]]:
        """The best assignment of what the file has behind a part to things, and its value."""
        children = self.usb_children(above)
        if not children or not pool:
            return 0, ()
        values = [[self._placed_value(child, thing, numbered) for thing in pool] for child in children]
        total, pairs = best_pairs(values)
        return total, tuple((children[i], pool[j]) for i, j in pairs)

    def _placed_value(self, part_id: str, thing: Thing, numbered: bool) -> int:
        value = self.value(part_id, thing)
        plug = self.topology.part(part_id).plug
        placed = numbered or (plug is not None and plug.part == COMPUTER)
        if not value or not placed:
            return value
        place = self.place_value(part_id, thing)
        return value + (min(place, TWIN_PLACE) if value == TWIN else place)

    def place_value(self, part_id: str, thing: Thing) -> int:
        """What the number of a socket says: much on a hub or by a given place, little on a device's back."""
        plug = self.topology.part(part_id).plug
        if plug is None:
            return 0
        if plug.part == COMPUTER:
            leg = self.topology.leg(part_id)
            return PLACE if leg is not None and is_at(self.live, thing, leg.socket) else 0
        if plug.number is None or plug.number != thing.port:
            return 0
        return PLACE if self.topology.part(plug.part).kind == "hub" else BACK_PLACE

    # -- ways -------------------------------------------------------------------------------------------------------

    def _ways(self, part: Part, thing: Thing) -> Iterator[Fit]:
        own = self.fit(part, thing)
        behind = self.live.below(thing.key)
        if own:
            yield Fit(own, behind)
            if part.kind == "hub":
                yield from self._cascade(part, thing, own)
        if part.kind == "device" and thing.kind == "hub":
            yield from self._with_own_hub(part, thing)
        if part.cable.active and thing.kind == "hub":
            for inner in behind:
                yield Fit(BASE, (), extra=(thing,), onward=inner)

    def _cascade(self, part: Part, thing: Thing, own: int) -> Iterator[Fit]:
        """A hub of many sockets is often several hub chips in one case; then a number says little of a socket."""
        inner = [hub for hub in self.live.below(thing.key) if hub.kind == "hub" and _one_case(part, thing, hub)]
        if inner:
            pool = [t for t in self.live.below(thing.key) if t not in inner]
            pool += [t for hub in inner for t in self.live.below(hub.key)]
            yield Fit(own, tuple(pool), extra=tuple(inner), numbered=False)

    def _with_own_hub(self, part: Part, thing: Thing) -> Iterator[Fit]:
        """A camera with sockets on its back: seen as a hub with the camera behind or beside it, or only the hub seen.

        A hub inside that the file does not have is taken only where the system says that what is behind is soldered in.
        """
        behind = self.live.below(thing.key)
        for camera in behind:
            own = self.fit(part, camera)
            if own and (part.has_hub or camera.built_in):
                rest = tuple(other for other in behind if other is not camera)
                yield Fit(own + BASE, (*rest, *self.live.below(camera.key)), inside=camera)
        if part.has_hub:
            for camera in self._beside(thing):
                if own := self.fit(part, camera):
                    yield Fit(own, behind, inside=camera)
            yield Fit(BASE, behind, only_hub=True)

    def _beside(self, hub: Thing) -> Iterator[Thing]:
        """SuperSpeed devices that may be in one case with a hub though nothing says so: same socket, other side."""
        for other in self.live.below(hub.above) if hub.above is not None else ():
            same = hub.above == COMPUTER or other.port == hub.port
            if other.kind == "device" and len(other.seen) == 1 and (other.speed_mbit or 0) >= 5000 and same:
                yield other


def _known_by_serial(topology: Topology, live: PluggedIn) -> dict[str, str]:
    """Things that tell the serial number of one part of the file, and of one only, by key: nobody else is that thing,
    wherever it is plugged in. A number that two things tell, or two parts have, singles out nobody."""
    numbered = [part for name in topology.wired if (part := topology.part(name)).identity.serial is not None]
    pairs = [(part.id, thing.key) for part in numbered for thing in live.things if has_serial_of(part, thing)]
    parts, keys = Counter(part for part, _ in pairs), Counter(key for _, key in pairs)
    return {key: part for part, key in pairs if parts[part] == 1 and keys[key] == 1}


def is_usb(topology: Topology, part_id: str) -> bool:
    """True for parts that a scan can show: wired, by USB, and not one that uses none."""
    leg = topology.leg(part_id)
    return leg is not None and leg.socket.kind == "usb" and topology.part(part_id).interface != "none"


def may_be_seen(topology: Topology, part_id: str) -> bool:
    """True for those, and for what the file has behind a hub without a plug: its place below that hub is known."""
    part = topology.part(part_id)
    if topology.leg(part_id) is not None or part.plug is None or part.interface == "none":
        return is_usb(topology, part_id)
    socket = topology.part(part.plug.part).socket(part.plug.socket)
    return socket is None or socket.kind == "usb"


def _one_case(part: Part, outer: Thing, inner: Thing) -> bool:
    """True for a hub that may be in the same case: soldered in, or of the same make where the file has more sockets."""
    if inner.built_in:
        return True
    told = max((side.max_child or 0 for side in outer.seen), default=0)
    makes = {side.vendor_id for side in outer.seen}
    return 0 < told < len(part.sockets) and None not in makes and all(side.vendor_id in makes for side in inner.seen)


def in_place(aligner: Aligner) -> tuple[Pairing, ...]:
    """Every part that was found behind the part the file has it behind, and its thing, top down."""
    # The computer's sockets have no numbers that a scan knows: who is where there is told by what it is.
    roots = aligner.assigned(COMPUTER, aligner.live.below(COMPUTER), numbered=False)[1]
    return tuple(_once(laid(aligner, COMPUTER, roots, numbered=False)))


def _once(placed: Iterable[Pairing]) -> list[Pairing]:
    """A camera beside its hub may have been chosen twice, once as a part of its own: that one keeps it."""
    found = list(placed)
    sockets = {each.thing.key for each in found}
    for index, each in enumerate(found):
        inside = each.fit.inside
        if inside is not None and inside.key in sockets:
            found[index] = replace(each, fit=replace(each.fit, inside=None, only_hub=True))
        elif inside is not None:
            sockets.add(inside.key)
    return found


def laid(
    aligner: Aligner, above: str | None, pairs: Sequence[tuple[str, Thing]], numbered: bool = True
) -> Iterator[Pairing]:
    """The chosen pairs and everything chosen below them, top down."""
    start: list[tuple[str | None, str, Thing, bool, tuple[Thing, ...]]]
    start = [(above, part, thing, numbered, ()) for part, thing in pairs]
    pending = deque(start)
    while pending:
        over, part, thing, counts, cables = pending.popleft()
        choice = aligner.choice(part, thing)
        assert choice is not None
        way = choice.fit
        if way.onward is not None:
            pending.appendleft((over, part, way.onward, False, (*cables, *way.extra)))
            continue
        if cables:
            way = replace(way, extra=(*way.extra, *cables))
        yield Pairing(part, thing, way, _by(aligner, part, thing, way, counts), over)
        pending.extend((part, child, below, way.numbered, ()) for child, below in choice.pairs)


def _by(aligner: Aligner, part: str, thing: Thing, way: Fit, numbered: bool) -> MatchedBy:
    if way.value >= IDS:
        return "identity"
    if way.value == TWIN:
        return "twin"
    at_computer = thing.above == COMPUTER
    return "place" if (numbered or at_computer) and aligner.place_value(part, thing) >= PLACE else "kind"
