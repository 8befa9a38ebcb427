"""The rig as declared: every part with its facts merged from file and profile, before anything is wired or computed."""

from __future__ import annotations

from dataclasses import field
from typing import ClassVar, Literal, TypeVar, get_args

from topo.frozen import frozen, replace
from topo.model.facts import Basis, Fact, value_of
from topo.model.feeds import Converter, Lead, PowerBox, Supply, TerminalBlock
from topo.model.place import Place as Place
from topo.model.records import (
    CableFacts,
    ComputerFacts,
    DeviceFacts,
    HubFacts,
    NightFacts,
    SeenFacts,
    SerialFacts,
    Translators,
    Transport,
    UseFacts,
)
from topo.model.speed import Speed, SpeedWord

Seat = Literal["tube", "counterweight", "mount", "pier", "indoors"]
"""Where a part is fixed. The tube turns with both axes of the mount, the counterweight bar with one; `mount` is its
base, which stands still."""

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
Picks = Literal["serial", "name", "order", "socket"]
"""How a program picks a camera: by its serial number, its name, its place in a list, or the socket it is in."""

ROLES: tuple[Role, ...] = get_args(Role)
"""Every role, in the order they are listed."""

CopyTime = Literal["each-picture", "all-night", "never"]
"""When a disk or network adapter copies."""

COMPUTER = "computer"
"""The id of the computer in every rig."""


def socket_number(name: str) -> int | None:
    """The number in a socket's name: 3 for "3" and for "usb2-3". On a hub it is the one printed beside the socket."""
    digits = name.rpartition("-")[2]
    return int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 4 else None


@frozen
class Socket:
    """A socket a plug fits in.

    `speed` is the best the socket carries (for a serial socket, full: what its adapter runs at). `controller` and
    `usb2_bus` are known for the computer's sockets only; a `usb2_bus` of None means nobody said which 480 Mb/s bus
    the socket is on. `basis` says how far the last three are known. `at` is where the system has it: bus and port of
    its USB 2 side, where that is known; `may_give_ma` the current it may give, where somebody said so.
    """

    name: str
    speed: Speed
    kind: Literal["usb", "serial"] = "usb"
    controller: str | None = None
    usb2_bus: str | None = None
    basis: Basis = "declared"
    at: tuple[int, int] | None = None
    may_give_ma: float | None = None


@frozen
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


@frozen
class Identity:
    """What a device says it is, as far as the person copied it into the file: hexadecimal ids and serial number."""

    vendor_id: str | None = None
    product_id: str | None = None
    serial: str | None = None


@frozen
class Controller:
    """A USB host controller of a computer: its name, and what it hangs on (`pcie2x1`, or a figure in MB/s)."""

    name: str
    uplink: Fact[str] | None = None


@frozen(kw_only=True)
class AnyPart:
    """What the computer, hubs and devices have in common.

    `sockets` are what other parts plug into: the ports of a computer or hub, the sockets on the back of a camera with
    a hub inside, the serial sockets of an adapter. `plug` is None for the computer and for a part that uses no USB (a
    dew strap on a controller, say). `leg_speed` is the speed its leg was seen to carry, where that is not the speed
    that follows from the rig. `sits` is where it is fixed; `after` names the part that has to be ready before it is
    connected.
    """

    id: str
    role: Role = "other"
    profile: str | None = None
    plug: Plug | None = None
    cable: CableFacts = CableFacts()
    leg_speed: Fact[SpeedWord] | None = None
    sits: Seat | None = None
    after: str | None = None
    sockets: tuple[Socket, ...] = ()
    identity: Identity = Identity()
    place: Place = field(default=Place(), compare=False)

    def socket(self, name: str) -> Socket | None:
        """The socket of that name, or None."""
        return next((socket for socket in self.sockets if socket.name == name), None)

    @property
    def interface(self) -> Transport | None:
        """How a device moves its data; None where it is not known, and for hubs and the computer."""
        return None

    @property
    def own_speed(self) -> Fact[SpeedWord] | None:
        """The fastest USB speed the part itself can run at; None where it is not known, and for the computer."""
        return None

    @property
    def has_serial_line(self) -> bool:
        """Whether it is a device of which a serial line of its own is known."""
        return False

    @property
    def sends_frames(self) -> bool:
        """Whether it is a device of which the size of its pictures is known: a camera."""
        return False


@frozen(kw_only=True)
class Computer(AnyPart):
    """The computer, with everything known of it; `ways_in` is how the person reaches it, in their order."""

    kind: ClassVar[Literal["computer"]] = "computer"
    id: str = COMPUTER
    facts: ComputerFacts = ComputerFacts()
    controllers: tuple[Controller, ...] = ()
    ways_in: tuple[str, ...] = ()

    def uplink(self, controller: str | None) -> Fact[str] | None:
        """What a controller hangs on, or None where nobody said."""
        return next((each.uplink for each in self.controllers if each.name == controller), None)

    @property
    def has_hub(self) -> bool:
        """True for hubs and for devices with a hub inside: parts other USB parts plug into."""
        return False


@frozen(kw_only=True)
class Hub(AnyPart):
    """A hub, with everything known of it."""

    kind: ClassVar[Literal["hub"]] = "hub"
    facts: HubFacts = HubFacts()

    @property
    def own_speed(self) -> Fact[SpeedWord] | None:
        """The speed of its fastest side."""
        return self.facts.speed

    @property
    def inner_speed(self) -> Speed:
        """The speed of the hub inside; `high` where it is not known."""
        return Speed.from_word(value_of(self.facts.speed, "high"))

    @property
    def inner_translators(self) -> Fact[Translators] | None:
        """How many transaction translators the hub inside has."""
        return self.facts.translators

    @property
    def has_hub(self) -> bool:
        """True for hubs and for devices with a hub inside: parts other USB parts plug into."""
        return True


NO_SERIAL = SerialFacts()


@frozen(kw_only=True)
class Device(AnyPart):
    """A device, with everything known of it: hardware facts, what it does tonight (`use`), its serial line.

    `guides` is the mount a guide camera steers; `pulse_lead` the one that a lead from its guide port goes to. `opens`
    is what its program is told to open, as typed there; `opens_place` where the file says so. `picks` is how its
    program picks it among cameras, and `picks_number` which of a list it takes, from 1.
    """

    kind: ClassVar[Literal["device"]] = "device"
    facts: DeviceFacts = DeviceFacts()
    use: UseFacts = UseFacts()
    serial: SerialFacts = NO_SERIAL
    seen: SeenFacts = SeenFacts()
    guides: str | None = None
    pulse_lead: str | None = None
    opens: str | None = None
    opens_place: Place = field(default=Place(), compare=False)
    picks: Picks | None = None
    picks_number: int | None = None

    @property
    def own_speed(self) -> Fact[SpeedWord] | None:
        """The fastest USB speed the device can run at."""
        return self.facts.speed

    @property
    def inner_speed(self) -> Speed:
        """The speed of the hub inside; `high` where it is not known."""
        return Speed.from_word(value_of(self.facts.hub_speed, "high"))

    @property
    def inner_translators(self) -> Fact[Translators] | None:
        """How many transaction translators the hub inside has."""
        return self.facts.hub_translators

    @property
    def interface(self) -> Transport | None:
        """How the device moves its data; None where it is not known."""
        return value_of(self.facts.interface)

    @property
    def sends_frames(self) -> bool:
        """Whether the size of its pictures is known: it is a camera."""
        return self.facts.width_px is not None

    @property
    def has_hub(self) -> bool:
        """True for hubs and for devices with a hub inside: parts other USB parts plug into."""
        return any(socket.kind == "usb" for socket in self.sockets)

    @property
    def has_serial_line(self) -> bool:
        """Whether a serial line of its own is known."""
        return self.serial is not NO_SERIAL and self.serial != NO_SERIAL


Part = Computer | Hub | Device
"""A part of a rig. `part.kind`, or isinstance, tells which facts it has."""
"""Nothing said of a serial line."""

NO_WISHES = NightFacts()
"""Nothing said of the night."""


@frozen
class CopyPlan:
    """When a part copies: as `when` says, or `for_s` seconds in each `every_s` where both are given."""

    part: str
    when: CopyTime | None = None
    for_s: float | None = None
    every_s: float | None = None


@frozen
class RemoteDesktop:
    """The network adapter that the computer's screen goes out by, and how much of it (None: not known)."""

    through: str
    mb_per_s: float | None = None


@frozen
class NightWishes:
    """What the person said of the night: facts, copying in the order of the file, remote desktop."""

    facts: NightFacts = NO_WISHES
    copying: tuple[CopyPlan, ...] = ()
    remote: RemoteDesktop | None = None
    place: Place = field(default=Place(), compare=False)


@frozen
class Rig:
    """A whole rig. Parts keep the order of the file; `parts` gives the computer first, then hubs, then devices.

    Of a rig as a scan found it, `unseen` are parts that the scan lacks, and `unplaced` those it has in a place that
    nothing tells: neither has a plug then, and `reserved` are the sockets of the file that are kept free for them.
    """

    name: str
    file: str
    computer: Computer
    hubs: tuple[Hub, ...]
    devices: tuple[Device, ...]
    supplies: tuple[Supply, ...] = ()
    leads: tuple[Lead, ...] = ()
    blocks: tuple[TerminalBlock, ...] = ()
    boxes: tuple[PowerBox, ...] = ()
    converters: tuple[Converter, ...] = ()
    night: NightWishes = NightWishes()
    reserved: tuple[Plug, ...] = ()
    unseen: tuple[str, ...] = ()
    unplaced: tuple[str, ...] = ()

    @property
    def has_power_side(self) -> bool:
        """Whether the file says anything of what feeds the parts: a supply or a lead."""
        return bool(self.supplies or self.leads)

    @property
    def sources(self) -> tuple[Supply | Converter, ...]:
        """What volts come from: supplies, then converters."""
        return (*self.supplies, *self.converters)

    @property
    def parts(self) -> tuple[Part, ...]:
        """Every part: the computer, then hubs, then devices, each in the order of the file."""
        return (self.computer, *self.hubs, *self.devices)

    @property
    def plugged(self) -> tuple[Hub | Device, ...]:
        """Every part that has a plug: hubs, then devices."""
        return (*self.hubs, *self.devices)

    def part(self, part_id: str) -> Part:
        """The part with that id. Raises KeyError where there is none."""
        for part in self.parts:
            if part.id == part_id:
                return part
        raise KeyError(part_id)

    def device(self, part_id: str) -> Device:
        """The device with that id. Raises KeyError where there is none."""
        for part in self.devices:
            if part.id == part_id:
                return part
        raise KeyError(part_id)

    def with_part(self, changed: Part) -> Rig:
        """The same rig with the part of that id replaced, or added at the end of its kind where it is new."""
        if isinstance(changed, Computer):
            return replace(self, computer=changed)
        if isinstance(changed, Hub):
            return replace(self, hubs=_with(self.hubs, changed))
        return replace(self, devices=_with(self.devices, changed))


P = TypeVar("P", Hub, Device)


def _with(old: tuple[P, ...], changed: P) -> tuple[P, ...]:
    new = [changed if part.id == changed.id else part for part in old]
    if not any(part is changed for part in new):
        new.append(changed)
    return tuple(new)
