"""What stands in rig files and profile files, section by section, but for the facts: `topo/model/records.py` has those.

Each section is declared here once; the reader, the schema and its JSON Schema follow from the declarations.
"""
# No `from __future__ import annotations` here: the types of the fields are read (see topo/model/declare.py).

from collections.abc import Mapping
from dataclasses import MISSING, dataclass
from typing import Literal

from topo.model.declare import Bounds, fact, inline, key, names
from topo.model.facts import Fact
from topo.model.records import CableFacts, ComputerFacts, DeviceFacts, HubFacts, NightFacts, SerialFacts, UseFacts
from topo.model.rig import CopyTime, Role
from topo.model.speed import SpeedWord

MADE_UP = Bounds(shortest=1, longest=64)
"""What a name that people make up may be."""

TEXT = Bounds(longest=400)
FOUR_DIGITS = Bounds(pattern=r"^[0-9a-fA-F]{4}$")
PROFILE = "facts to start from; anything below overrides them"

_RATE = r"[1-9][0-9]{0,5}(\.[0-9]{1,9})?|0\.[0-9]{0,2}[1-9][0-9]{0,6}"
"""From 0.001 to below 1,000,000, without a sign or leading zeros: a link that carries nothing is none."""

UPLINK = Bounds(pattern=rf"^(pcie[1-5]x(1|2|4|8|16)|{_RATE})$")


@dataclass(frozen=True, slots=True, kw_only=True)
class ControllerEntry:
    """One USB host controller of a computer."""

    uplink: Fact[str] | None = fact("what it hangs on: pcie1x1, pcie2x1, pcie3x4, … or a figure in MB/s", bounds=UPLINK)


@dataclass(frozen=True, slots=True, kw_only=True)
class PortEntry:
    """One USB or serial socket of a computer."""

    controller: str | None = key("which controller serves it", MADE_UP)
    speed: SpeedWord | None = key("the fastest speed the socket carries")
    usb2_bus: str | None = key("ports with the same word share one 480 Mb/s bus", MADE_UP)
    kind: Literal["usb", "serial"] | None = key("usb, unless it is a serial socket")
    at: str | None = key(
        "where the system has it, BUS/PORT of its USB 2 side; `topo live --draft` writes it",
        Bounds(pattern=r"^[0-9]{1,5}/[0-9]{1,3}$"),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class IdentityEntry:
    """What the device says it is. Ids are hexadecimal."""

    vendor_id: str | None = key("", FOUR_DIGITS)
    product_id: str | None = key("", FOUR_DIGITS)
    serial: str | None = key("", Bounds(longest=126))


@dataclass(frozen=True, slots=True, kw_only=True)
class Plugged:
    """What every hub and device may say."""

    profile: str | None = key(PROFILE, MADE_UP)
    plug: str | None = key("what it is plugged into: PART/SOCKET", Bounds(pattern=r"^[^/]{1,64}/[^/]{1,64}$"))
    cable: CableFacts | None = key()
    identity: IdentityEntry | None = key()
    note: str | None = key("anything you want to remember; not used", TEXT)


@dataclass(frozen=True, slots=True, kw_only=True)
class HubEntry(Plugged):
    """A hub of the rig."""

    facts: HubFacts = inline(HubFacts())


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceEntry(Plugged):
    """A device of the rig."""

    facts: DeviceFacts = inline(DeviceFacts())
    role: Role | None = key("what it does tonight")
    use: UseFacts | None = key()
    serial: SerialFacts | None = key()
    guides: str | None = key("a guide camera's mount", MADE_UP)
    pulse_lead: str | None = key("the mount that a lead from this camera's guide port goes to", MADE_UP)


@dataclass(frozen=True, slots=True, kw_only=True)
class ComputerEntry:
    """The computer of the rig."""

    facts: ComputerFacts = inline(ComputerFacts())
    profile: str | None = key(PROFILE, MADE_UP)
    controllers: Mapping[str, ControllerEntry] | None = key()
    ports: Mapping[str, PortEntry] | None = key()
    ways_in: tuple[str, ...] = key(
        "how you reach it at night: network (its own socket), wifi (its own radio), screen (at the pier), or a part",
        MADE_UP, default=(),
    )
    note: str | None = key("", TEXT)


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyEntry:
    """A 12 V source."""

    volts: float = key("", Bounds(1, 60), default=MISSING)
    amps: float | None = key("amps it may give", Bounds(0.01, 1000))
    note: str | None = key("", TEXT)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadEntry:
    """A 12 V lead, from a supply or a part to a part."""

    source: str = key("", MADE_UP, written="from", default=MISSING)
    to: str = key("", MADE_UP, default=MISSING)
    length_m: float | None = key("one way, metres", Bounds(0, 200))
    gauge_awg: int | None = key("", Bounds(4, 36))
    fuse_amps: float | None = key("rating of its fuse, A", Bounds(0.01, 1000))
    note: str | None = key("", TEXT)


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerEntry:
    """The 12 V side."""

    supplies: Mapping[str, SupplyEntry] = names()
    leads: Mapping[str, LeadEntry] = names()


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyingEntry:
    """When a disk or network adapter copies, at the rate of its `use`."""

    when: CopyTime | None = key("each-picture, all-night, or never; now and then is `for_s` and `every_s`")
    for_s: float | None = key("how long it copies each time, s", Bounds(0.1, 86_400))
    every_s: float | None = key("seconds from one start to the next", Bounds(0.1, 86_400))


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoteEntry:
    """The computer's screen, watched from elsewhere."""

    through: str = key("the network adapter it goes through", MADE_UP, default=MISSING)
    mb_per_s: float | None = key("what it moves while somebody watches, MB/s", Bounds(0.001, 1000))


@dataclass(frozen=True, slots=True, kw_only=True)
class NightEntry:
    """What is planned for a night."""

    facts: NightFacts = inline(NightFacts())
    copying: Mapping[str, CopyingEntry] = names()
    remote_desktop: RemoteEntry | None = key()
    note: str | None = key("", TEXT)


@dataclass(frozen=True, slots=True, kw_only=True)
class SourcedFact:
    """A figure of a profile with where it comes from."""

    value: str = key("", TEXT, default=MISSING)
    source: str = key("", TEXT, default=MISSING)


@dataclass(frozen=True, slots=True, kw_only=True)
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


@dataclass(frozen=True, slots=True, kw_only=True)
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
