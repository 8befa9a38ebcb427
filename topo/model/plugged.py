"""What is plugged in: the things of a scan, each in its socket, and the computer's sockets. Nothing is worked out here.

Texts of sightings are untrusted: whoever prints them escapes them.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen
from topo.model.rig import COMPUTER
from topo.model.tree import Tree

if TYPE_CHECKING:
    from topo.model.rig import Plug, Socket
    from topo.model.sighting import Scan, Sighting

JoinedBy = Literal["container id", "peer ports", "same place", "same make"]
"""What two sightings are held to be one thing by, from the surest down; the last two are guesses."""

PortKey = tuple[str, int]
"""The id of a hub's sighting, and the number of a port there."""


@frozen
class Thing:
    """One physical thing as seen: a hub with its sides, or a device, with its own hub where that was told.

    `seen` has the USB 2 side first; of a device with its own hub the hub first, the device last. `key` is the id of
    the first of them, and `joined_by` says how they were joined (None: only one). `plug` is the socket it sits in, of
    a thing by its key or of the computer; None where its place is not known. `port` is the number of the port there,
    on the USB 2 side where the system tells it: on a hub the number of the socket. `word` names the kind. `built_in`
    is True where the system says it cannot be unplugged.
    """

    key: str
    kind: Literal["hub", "device"]
    seen: tuple[Sighting, ...]
    plug: Plug | None
    port: int | None
    word: str
    built_in: bool = False
    joined_by: JoinedBy | None = None

    @property
    def above(self) -> str | None:
        """The key of what it is plugged into, "computer" for a root port."""
        return self.plug.part if self.plug is not None else None

    @property
    def own(self) -> Sighting:
        """The device itself, or the first side of a hub."""
        return self.seen[0] if self.kind == "hub" else self.seen[-1]

    @property
    def hub_sides(self) -> tuple[Sighting, ...]:
        """Its sightings that are hubs."""
        return tuple(side for side in self.seen if side.is_hub)

    @property
    def speed_mbit(self) -> float | None:
        """The fastest link it has now, in Mb/s."""
        return max((side.speed_mbit for side in self.seen if side.speed_mbit is not None), default=None)

    @property
    def most_mbit(self) -> float | None:
        """The rate its fastest link runs at, or at most runs at, Mb/s; None where that is not told of each."""
        rates = [side.most_mbit for side in self.seen]
        return max((rate for rate in rates if rate is not None), default=None) if None not in rates else None


@frozen
class RootSocket:
    """One socket of the computer: as a rig file would have it, and the root ports behind it, the USB 2 side first.

    `outside` is False where the system says that what is in it is soldered in.
    """

    socket: Socket
    ports: tuple[PortKey, ...]
    outside: bool


@frozen(slots=False)
class PluggedIn:
    """A scan wired up: its things, parents before children and siblings in the order of bus and port.

    `roots` are the ids of root hubs, those of one controller together; `sockets` those of the computer that have
    something in them or can be plugged into, SuperSpeed ones first.
    """

    scan: Scan
    things: tuple[Thing, ...]
    roots: tuple[tuple[str, ...], ...]
    sockets: tuple[RootSocket, ...]

    @cached_property
    def tree(self) -> Tree:
        """The things in their sockets, by key."""
        return Tree({thing.key: thing.plug for thing in self.things})

    @cached_property
    def _by_key(self) -> dict[str, Thing]:
        return {thing.key: thing for thing in self.things}

    @cached_property
    def _by_sighting(self) -> dict[str, Thing]:
        return {side.id: thing for thing in self.things for side in thing.seen}

    def thing(self, key: str | None) -> Thing | None:
        """The thing of that key, or None."""
        return self._by_key.get(key or "")

    def thing_of(self, sighting: str) -> Thing | None:
        """The thing that a sighting is, or is a side of; None for root hubs."""
        return self._by_sighting.get(sighting)

    def below(self, key: str | None) -> tuple[Thing, ...]:
        """What is plugged into a thing, or into the computer; of None, what hangs nowhere."""
        if key is None:
            return tuple(thing for thing in self.things if thing.plug is None)
        return tuple(self._by_key[name] for name in self.tree.children(key))

    def path(self, thing: Thing) -> tuple[Thing, ...]:
        """The things from the computer down to this one, itself last."""
        return tuple(self._by_key[key] for key in reversed(self.tree.path(thing.key)))

    def root_of(self, thing: Thing) -> tuple[str, ...]:
        """The root hubs of the controller a thing hangs on; none where that is not known."""
        top = self.path(thing)[0]
        if top.above != COMPUTER:
            return ()
        return next((group for group in self.roots if top.seen[0].parent in group), ())
