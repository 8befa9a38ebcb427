"""The rig as declared: every part with its facts merged from file and profile, before anything is wired or computed."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal, get_args

from topo.model.facts import Basis, Facts

if TYPE_CHECKING:
    from topo.model.speed import Speed

Role = Literal[
    "imaging",
    "guiding",
    "mount",
    "focuser",
    "rotator",
    "filter-wheel",
    "dew",
    "power",
    "weather",
    "flat-panel",
    "network",
    "storage",
    "other",
]
ROLES: tuple[Role, ...] = get_args(Role)
"""Every role, in the order they are listed."""

COMPUTER = "computer"
"""The id of the computer in every rig."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where in which file something was written. Line and column count from 1; 0 where it was not written at all."""

    file: str = ""
    line: int = 0
    column: int = 0


def socket_number(name: str) -> int | None:
    """The number in a socket's name: 3 for "3" and for "usb2-3". On a hub it is the one printed beside the socket."""
    digits = name.rpartition("-")[2]
    return int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 4 else None


@dataclass(frozen=True, slots=True)
class Socket:
    """A socket a plug fits in.

    `speed` is the best the socket carries (for a serial socket, full: what its adapter runs at). `controller` and
    `usb2_bus` are known for the computer's sockets only; a `usb2_bus` of None means nobody said which 480 Mb/s bus
    the socket is on. `basis` says how far the last three are known. `at` is where the system has it: bus and port of
    its USB 2 side, where that is known.
    """

    name: str
    speed: Speed
    kind: Literal["usb", "serial"] = "usb"
    controller: str | None = None
    usb2_bus: str | None = None
    basis: Basis = "declared"
    at: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Plug:
    """What a part is plugged into: another part's id and the name of a socket there."""

    part: str
    socket: str
    place: Place = field(default=Place(), compare=False)

    def __str__(self) -> str:
        return f"{self.part}/{self.socket}"

    @property
    def number(self) -> int | None:
        """The number of the socket. None at the computer, whose sockets have names only."""
        return None if self.part == COMPUTER else socket_number(self.socket)


@dataclass(frozen=True, slots=True)
class Cable:
    """A cable as far as it is known: length in metres, grade, copper of the power pair in AWG, active or not."""

    length_m: float | None = None
    grade: Literal["usb2", "usb3"] | None = None
    gauge_awg: int | None = None
    active: bool = False


@dataclass(frozen=True, slots=True)
class Identity:
    """What a device says it is, as far as the person copied it into the file: hexadecimal ids and serial number."""

    vendor_id: str | None = None
    product_id: str | None = None
    serial: str | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """The computer, a hub or a device, with everything known of it.

    `facts` holds hardware facts, `use` what it does tonight (`exposure_s`, `bin`, …), `serial` its serial line; each
    fact carries its basis. `sockets` are what other parts plug into: the ports of a computer or hub, the sockets on
    the back of a camera with a hub inside, the serial sockets of an adapter. `plug` is None for the computer and for
    a part that uses no USB (a dew strap on a controller, say).
    """

    id: str
    kind: Literal["computer", "hub", "device"]
    role: Role = "other"
    profile: str | None = None
    plug: Plug | None = None
    cable: Cable = Cable()
    facts: Facts = field(default_factory=Facts)
    use: Facts = field(default_factory=Facts)
    serial: Facts = field(default_factory=Facts)
    sockets: tuple[Socket, ...] = ()
    identity: Identity = Identity()
    guides: str | None = None
    place: Place = field(default=Place(), compare=False)

    def socket(self, name: str) -> Socket | None:
        """The socket of that name, or None."""
        return next((socket for socket in self.sockets if socket.name == name), None)

    @property
    def has_hub(self) -> bool:
        """True for hubs and for devices with a hub inside: parts other USB parts plug into."""
        return self.kind == "hub" or (self.kind == "device" and any(s.kind == "usb" for s in self.sockets))


@dataclass(frozen=True, slots=True)
class Supply:
    """A 12 V source: volts, and the amps it may give."""

    id: str
    volts: float
    amps: float | None = None
    place: Place = field(default=Place(), compare=False)


@dataclass(frozen=True, slots=True)
class Lead:
    """A 12 V lead from a supply or a part to a part: one-way length in metres, copper in AWG, fuse in amps."""

    id: str
    source: str
    to: str
    length_m: float | None = None
    gauge_awg: int | None = None
    fuse_amps: float | None = None
    place: Place = field(default=Place(), compare=False)


@dataclass(frozen=True, slots=True)
class Rig:
    """A whole rig. Parts keep the order of the file; `parts` gives the computer first, then hubs, then devices."""

    name: str
    file: str
    computer: Part
    hubs: tuple[Part, ...]
    devices: tuple[Part, ...]
    supplies: tuple[Supply, ...] = ()
    leads: tuple[Lead, ...] = ()

    @property
    def parts(self) -> tuple[Part, ...]:
        """Every part: the computer, then hubs, then devices, each in the order of the file."""
        return (self.computer, *self.hubs, *self.devices)

    def part(self, part_id: str) -> Part:
        """The part with that id. Raises KeyError where there is none."""
        for part in self.parts:
            if part.id == part_id:
                return part
        raise KeyError(part_id)

    def with_part(self, changed: Part) -> Rig:
        """The same rig with the part of that id replaced, or added at the end of its kind where it is new."""
        if changed.kind == "computer":
            return replace(self, computer=changed)
        old = self.hubs if changed.kind == "hub" else self.devices
        if any(part.id == changed.id for part in old):
            new = tuple(changed if part.id == changed.id else part for part in old)
        else:
            new = (*old, changed)
        return replace(self, hubs=new) if changed.kind == "hub" else replace(self, devices=new)
