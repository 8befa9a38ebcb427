"""What stands in rig files and profile files, section by section, but for the facts: `topo/model/records.py` has those.

Each section is declared here once; the reader, the schema and its JSON Schema follow from the declarations.
"""
# No `from __future__ import annotations` here: the types of the fields are read (see topo/model/declare.py).

from collections.abc import Mapping
from dataclasses import MISSING
from typing import Literal

from topo.frozen import frozen
from topo.model.declare import Bounds, fact, inline, key, names
from topo.model.facts import Fact
from topo.model.feeds import (
    BlockFacts,
    BoxFacts,
    ChannelFacts,
    ConverterFacts,
    LeadFacts,
    SupplyFacts,
)
from topo.model.records import (
    CableFacts,
    ComputerFacts,
    DeviceFacts,
    HubFacts,
    NightFacts,
    SeenFacts,
    SerialFacts,
    UseFacts,
)
from topo.model.rig import CopyTime, Picks, Role, Seat
from topo.model.speed import SpeedWord

MADE_UP = Bounds(shortest=1, longest=64)
"""What a name that people make up may be."""

TEXT = Bounds(longest=400)
FEED_END = Bounds(shortest=1, longest=129, pattern=r"^[^/]{1,64}(/[^/]{1,64})?$")
FOUR_DIGITS = Bounds(pattern=r"^[0-9a-fA-F]{4}$")
PROFILE = "facts to start from; anything below overrides them"

_RATE = r"[1-9][0-9]{0,5}(\.[0-9]{1,9})?|0\.[0-9]{0,2}[1-9][0-9]{0,6}"
"""From 0.001 to below 1,000,000, without a sign or leading zeros: a link that carries nothing is none."""

UPLINK = Bounds(pattern=rf"^(pcie[1-5]x(1|2|4|8|16)|{_RATE})$")


@frozen(kw_only=True)
class ControllerEntry:
    """One USB host controller of a computer."""

    uplink: Fact[str] | None = fact("what it hangs on: pcie1x1, pcie2x1, pcie3x4, … or a figure in MB/s", bounds=UPLINK)


@frozen(kw_only=True)
class PortEntry:
    """One USB or serial socket of a computer."""

    controller: str | None = key("which controller serves it", MADE_UP)
    speed: SpeedWord | None = key("the fastest speed the socket carries")
    usb2_bus: str | None = key("ports with the same word share one 480 Mb/s bus", MADE_UP)
    kind: Literal["usb", "serial"] | None = key("usb, unless it is a serial socket")
    may_give_ma: float | None = key("current this socket may give, mA: 1500 or 3000 for USB-C", Bounds(0, 5000))
    at: str | None = key(
        "where the system has it, BUS/PORT of its USB 2 side; `topo live --draft` writes it",
        Bounds(pattern=r"^[0-9]{1,5}/[0-9]{1,3}$"),
    )


@frozen(kw_only=True)
class IdentityEntry:
    """What the device says it is. Ids are hexadecimal."""

    vendor_id: str | None = key("", FOUR_DIGITS)
    product_id: str | None = key("", FOUR_DIGITS)
    serial: str | None = key("", Bounds(longest=126))


@frozen(kw_only=True)
class Plugged:
    """What every hub and device may say."""

    profile: str | None = key(PROFILE, MADE_UP)
    plug: str | None = key("what it is plugged into: PART/SOCKET", Bounds(pattern=r"^[^/]{1,64}/[^/]{1,64}$"))
    cable: CableFacts | None = key()
    identity: IdentityEntry | None = key()
    sits: Seat | None = key("where it is fixed: on the tube, the counterweight bar, the mount, the pier, or indoors")
    after: str | None = key("the part that has to be ready before this one is connected", MADE_UP)
    note: str | None = key("anything you want to remember; not used", TEXT)


@frozen(kw_only=True)
class HubEntry(Plugged):
    """A hub of the rig."""

    facts: HubFacts = inline(HubFacts())


@frozen(kw_only=True)
class DeviceEntry(Plugged):
    """A device of the rig."""

    facts: DeviceFacts = inline(DeviceFacts())
    role: Role | None = key("what it does tonight")
    use: UseFacts | None = key()
    serial: SerialFacts | None = key()
    seen: SeenFacts | None = key()
    measured: Mapping[str, str] | None = key(
        "which figures of this device were measured: the key, then the figure, where and when; "
        "`topo evidence --write-facts` writes it"
    )
    guides: str | None = key("a guide camera's mount", MADE_UP)
    pulse_lead: str | None = key("the mount that a lead from this camera's guide port goes to", MADE_UP)
    opens: str | None = key(
        "what its program is told to open: /dev/ttyUSB0, a name of /dev/serial/by-id or by-path, COM7, cu.…",
        Bounds(shortest=1, longest=255),
    )
    picks: Picks | None = key("how its program picks this camera: by serial number, name, place in a list, or socket")
    picks_number: int | None = key("which one of the list it picks, from 1", Bounds(1, 64))


@frozen(kw_only=True)
class ComputerEntry:
    """The computer of the rig."""

    facts: ComputerFacts = inline(ComputerFacts())
    profile: str | None = key(PROFILE, MADE_UP)
    controllers: Mapping[str, ControllerEntry] | None = key()
    ports: Mapping[str, PortEntry] | None = key()
    sits: Seat | None = key("where it is fixed: on the tube, the counterweight bar, the mount, the pier, or indoors")
    ways_in: tuple[str, ...] = key(
        "how you reach it at night: network (its own socket), wifi (its own radio), screen (at the pier), or a part",
        MADE_UP, default=(),
    )
    note: str | None = key("", TEXT)


@frozen(kw_only=True)
class SupplyEntry:
    """A 12 V source."""

    volts: float = key("of a battery: those it rests at", Bounds(1, 60), default=MISSING)
    amps: float | None = key("amps it may give", Bounds(0.01, 1000))
    facts: SupplyFacts = inline(SupplyFacts())
    note: str | None = key("", TEXT)


@frozen(kw_only=True)
class BlockEntry:
    """A terminal block: a lead ends at it, and several begin there."""

    facts: BlockFacts = inline(BlockFacts())
    note: str | None = key("", TEXT)


@frozen(kw_only=True)
class ChannelEntry:
    """A way out of a box; a lead begins at it with `from: BOX/CHANNEL`."""

    facts: ChannelFacts = inline(ChannelFacts())


@frozen(kw_only=True)
class BoxEntry:
    """A box with channels. A device of that name is the same box."""

    facts: BoxFacts = inline(BoxFacts())
    channels: Mapping[str, ChannelEntry] = names()
    note: str | None = key("", TEXT)


@frozen(kw_only=True)
class ConverterEntry:
    """A converter: a lead ends at it, and leads of other volts begin there."""

    volts: float = key("volts it puts out", Bounds(1, 60), default=MISSING)
    facts: ConverterFacts = inline(ConverterFacts())
    note: str | None = key("", TEXT)


@frozen(kw_only=True)
class LeadEntry:
    """A 12 V lead, from a supply, block, box, converter or part to a part, block, box or converter."""

    source: str = key("where it begins: NAME, or BOX/CHANNEL", FEED_END, written="from", default=MISSING)
    to: str = key("", MADE_UP, default=MISSING)
    also: tuple[str, ...] = key("further parts at its end", MADE_UP, default=())
    facts: LeadFacts = inline(LeadFacts())
    note: str | None = key("", TEXT)


@frozen(kw_only=True)
class PowerEntry:
    """The 12 V side."""

    supplies: Mapping[str, SupplyEntry] = names()
    blocks: Mapping[str, BlockEntry] = names()
    boxes: Mapping[str, BoxEntry] = names()
    converters: Mapping[str, ConverterEntry] = names()
    leads: Mapping[str, LeadEntry] = names()


@frozen(kw_only=True)
class CopyingEntry:
    """When a disk or network adapter copies, at the rate of its `use`."""

    when: CopyTime | None = key("each-picture, all-night, or never; now and then is `for_s` and `every_s`")
    for_s: float | None = key("how long it copies each time, s", Bounds(0.1, 86_400))
    every_s: float | None = key("seconds from one start to the next", Bounds(0.1, 86_400))


@frozen(kw_only=True)
class RemoteEntry:
    """The computer's screen, watched from elsewhere."""

    through: str = key("the network adapter it goes through", MADE_UP, default=MISSING)
    mb_per_s: float | None = key("what it moves while somebody watches, MB/s", Bounds(0.001, 1000))


@frozen(kw_only=True)
class NightEntry:
    """What is planned for a night."""

    facts: NightFacts = inline(NightFacts())
    copying: Mapping[str, CopyingEntry] = names()
    remote_desktop: RemoteEntry | None = key()
    note: str | None = key("", TEXT)


@frozen(kw_only=True)
class SourcedFact:
    """A figure of a profile with where it comes from."""

    value: str = key("", TEXT, default=MISSING)
    source: str = key("", TEXT, default=MISSING)


@frozen(kw_only=True)
class ProfileEntry:
    """A profile: facts of a kind of part. Each fact is a plain value, or a value with its source."""

    kind: Literal["computer", "hub", "device"] = key(default="device")
    summary: str = key("", TEXT, default="")
    role: Role | None = key()
    facts: Mapping[str, str | SourcedFact] = names()
    serial: Mapping[str, str | SourcedFact] = names()
    controllers: Mapping[str, ControllerEntry] | None = key()
    ports: Mapping[str, PortEntry] | None = key()
    source: str = key("where facts without a source of their own come from", TEXT, default="")


@frozen(kw_only=True)
class RigDocument:
    """A whole rig file."""

    rig: str = key("", Bounds(shortest=1, longest=120), default=MISSING)
    computer: ComputerEntry = key(default=MISSING)
    hubs: Mapping[str, HubEntry] = names()
    devices: Mapping[str, DeviceEntry] = names()
    power: PowerEntry | None = key()
    night: NightEntry | None = key()
    profiles: Mapping[str, ProfileEntry] = names()
    profile_files: tuple[str, ...] = key("profile files beside this one", TEXT, default=())
