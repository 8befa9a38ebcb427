"""The rig as a chase needs it: what hangs where by which cable, and what a test changes of that. Plain values.

`Wires` is the rig as it is; a `Wiring` is one state of it, as it is or under a test. Reach is read from a wiring: which
devices would show the trouble if this piece were at fault.
"""

from __future__ import annotations

from functools import cached_property
from typing import Literal

from topo.frozen import frozen, replace
from topo.model.rig import COMPUTER, Role

ELSEWHERE = "another/computer"
"""What a part is plugged into when it is tried on a second computer."""
SPARE = "spare/cable"
"""The key of a cable that is known to be good. No part is called so: names hold no slash."""


@frozen
class Hookup:
    """One wired part: what it is plugged into and by which cable (named after the part whose leg it is).

    `fast` says that it runs at SuperSpeed, `pictures` that it sends frames, `limit` that its driver has a transfer
    limit, `idles` that it is silent for so long that it may be put to sleep, `radio` that it has a 2.4 GHz radio,
    `on_serial` that its plug is a serial one. `crosses` says whether its cable runs over an axis of the mount, or is in
    pieces; None where that is not known.
    """

    part: str
    kind: Literal["hub", "device"]
    role: Role
    above: str
    socket: str
    cable: str
    grade: str | None = None
    fast: bool = False
    pictures: bool = False
    limit: bool = False
    idles: bool = False
    radio: bool = False
    on_serial: bool = False
    exposure_s: float = 0.0
    crosses: bool | None = None


@frozen
class Feed:
    """A 12 V lead: from a supply or a part, to a part."""

    lead: str
    source: str
    to: str


@frozen
class Root:
    """A socket of the computer: its controller, and the 480 Mb/s bus it is on."""

    socket: str
    controller: str
    bus: str


@frozen(slots=False)
class Wires:
    """The whole rig. `free` are sockets with nothing in them, (part, socket); `loads` parts that draw in steps.

    `powered` are hubs with a supply of their own, `fast_sockets` sockets of the computer that carry SuperSpeed.
    """

    name: str
    wires: tuple[Hookup, ...]
    roots: tuple[Root, ...]
    free: tuple[tuple[str, str], ...] = ()
    feeds: tuple[Feed, ...] = ()
    supplies: tuple[str, ...] = ()
    loads: tuple[str, ...] = ()
    powered: tuple[str, ...] = ()
    fast_sockets: tuple[str, ...] = ()

    @cached_property
    def now(self) -> Wiring:
        """The wiring as it is."""
        return Wiring(self, self.wires)

    def wire(self, part: str) -> Hookup:
        """The wire of a part. Raises KeyError."""
        return self.now.of[part]

    @property
    def devices(self) -> tuple[Hookup, ...]:
        """All that is no hub."""
        return tuple(wire for wire in self.wires if wire.kind == "device")


@frozen(slots=False)
class Wiring:
    """One state of the rig: its wires, and what else is changed: (what, piece) such as ("idle", "main-camera")."""

    rig: Wires
    wires: tuple[Hookup, ...]
    changed: frozenset[tuple[str, str]] = frozenset()

    def with_wire(self, part: str, **how: str) -> Wiring:
        """The wiring with one part's `above`, `socket` or `cable` replaced."""
        changed = tuple(replace(w, **how) if w.part == part else w for w in self.wires)  # type: ignore[arg-type]
        return replace(self, wires=changed)

    def without(self, parts: tuple[str, ...]) -> Wiring:
        """The wiring with these parts, and all below them, unplugged."""
        gone = frozenset(p for part in parts for p in (part, *self.under[part]))
        return replace(self, wires=tuple(w for w in self.wires if w.part not in gone))

    def having(self, *changes: tuple[str, str]) -> Wiring:
        """The wiring with further changes that are no plug's."""
        return replace(self, changed=self.changed.union(changes))

    @cached_property
    def of(self) -> dict[str, Hookup]:
        """Each wire by its part."""
        return {wire.part: wire for wire in self.wires}

    @cached_property
    def under(self) -> dict[str, frozenset[str]]:
        """For each part the devices on it: itself where it is one, and all below."""
        found: dict[str, set[str]] = {wire.part: set() for wire in self.wires}
        for wire in self.wires:
            if wire.kind == "device":
                for part in self.path(wire.part):
                    found[part].add(wire.part)
        return {part: frozenset(devices) for part, devices in found.items()}

    def path(self, part: str) -> tuple[str, ...]:
        """A part and all it hangs on, up to the computer, which is left out."""
        chain = []
        while part in self.of and part not in chain:
            chain.append(part)
            part = self.of[part].above
        return tuple(chain)

    def root(self, part: str) -> Root | None:
        """The computer's socket that a part's path ends at; None on another computer."""
        top = self.of[self.path(part)[-1]]
        if top.above != COMPUTER:
            return None
        return next((root for root in self.rig.roots if root.socket == top.socket), None)

    @cached_property
    def any_elsewhere(self) -> bool:
        """True where something is tried on another computer."""
        return ("moved", COMPUTER) in self.changed or any(wire.above == ELSEWHERE for wire in self.wires)

    def elsewhere(self, part: str) -> bool:
        """True where the part is tried on another computer."""
        return ("moved", COMPUTER) in self.changed or self.of[self.path(part)[-1]].above == ELSEWHERE
