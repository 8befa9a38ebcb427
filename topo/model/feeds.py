"""The 12 V side: supplies, terminal blocks, power boxes, converters and leads, and their facts, a line for each.

As in `topo/model/records.py`: a line is a fact, and what is not known is None. Sockets of plugs are families that any
shop has, under plain names. Nothing is computed here.
"""
# No `from __future__ import annotations` here: the types of the fields are read (see topo/model/declare.py).

from dataclasses import field
from typing import Literal

from topo.frozen import frozen
from topo.model.declare import Record, fact
from topo.model.facts import Fact, value_of
from topo.model.place import Place

SourceKind = Literal["mains", "battery"]
Chemistry = Literal["lifepo4", "agm", "gel", "flooded"]
VoltsBy = Literal["meter", "label"]
FuseClass = Literal["blade", "glass", "resettable", "breaker"]
Connector = Literal[
    "barrel-2.1", "barrel-2.5", "yellow-tip", "genderless-15", "genderless-30", "genderless-45", "bullet-30",
    "car-socket", "screw", "ring", "usb-a", "usb-c", "soldered",
]  # fmt: skip


@frozen(kw_only=True)
class SupplyFacts(Record):
    """What a 12 V source is, besides its volts and amps."""

    kind: Fact[SourceKind] | None = fact("a mains supply, or a battery")
    volts_by: Fact[VoltsBy] | None = fact("where its volts come from: a meter under load, or its label")
    adjustable: Fact[bool] | None = fact("its volts can be set from outside the case")
    lowest_celsius: Fact[float] | None = fact("lowest temperature it is rated for", -80, 60)
    chemistry: Fact[Chemistry] | None = fact("what kind of battery it is")
    ah: Fact[float] | None = fact("capacity of a battery, Ah", 0.1, 10_000)
    ah_hours: Fact[float] | None = fact("hours in which a battery gives its rated Ah", 0.2, 100)
    charge_percent: Fact[float] | None = fact("how full a battery is at dusk, percent", 0, 100)
    usable_percent: Fact[float] | None = fact("how much of a battery you let it give, percent", 1, 100)
    age_years: Fact[float] | None = fact("age of a battery, years", 0, 50)
    night_celsius: Fact[float] | None = fact("temperature of a battery at night", -60, 60)
    internal_milliohm: Fact[float] | None = fact("resistance inside a battery or supply, milliohm", 0, 10_000)
    cut_off_volts: Fact[float] | None = fact("volts at which it switches itself off", 1, 60)
    charger_volts: Fact[float] | None = fact("volts a charger left on it all night holds it at, as stated for 25 C",
                                             1, 60)  # fmt: skip
    charger_amps: Fact[float] | None = fact("most amps that charger gives", 0.01, 1000)
    charger_compensates: Fact[bool] | None = fact("its charger raises its volts in the cold")


@frozen(kw_only=True)
class BlockFacts(Record):
    """A terminal block: one feed in, several out."""

    fuse_amps: Fact[float] | None = fact("rating of the fuse in each way out, A", 0.01, 1000)
    fuse_class: Fact[FuseClass] | None = fact("what kind of fuse that is")
    amps: Fact[float] | None = fact("most current through it in all, A", 0.01, 1000)
    contact_milliohm: Fact[float] | None = fact("resistance of each of its contacts, milliohm", 0, 10_000)


@frozen(kw_only=True)
class ChannelFacts(Record):
    """One way out of a power box."""

    amps: Fact[float] | None = fact("most current it may give, A; the box switches off above it", 0.01, 1000)
    fuse_amps: Fact[float] | None = fact("rating of a fuse in it, A", 0.01, 1000)


@frozen(kw_only=True)
class BoxFacts(Record):
    """A box that divides 12 V over channels."""

    amps: Fact[float] | None = fact("most current all channels together may give, A", 0.01, 1000)
    through_milliohm: Fact[float] | None = fact("resistance from its input to an output, milliohm", 0, 10_000)


@frozen(kw_only=True)
class ConverterFacts(Record):
    """A converter from one voltage to another, 12 V to 19 V or to 5 V, say."""

    amps: Fact[float] | None = fact("most current it may give, A", 0.01, 1000)
    efficiency_percent: Fact[float] | None = fact("what comes out of what goes in, percent", 10, 100)
    volts_min: Fact[float] | None = fact("lowest volts at its input it works at", 1, 60)
    volts_max: Fact[float] | None = fact("highest volts at its input it stands", 1, 60)


@frozen(kw_only=True)
class LeadFacts(Record):
    """What a 12 V lead is made of."""

    length_m: Fact[float] | None = fact("one way, metres", 0, 200)
    gauge_awg: Fact[int] | None = fact("copper of each wire, AWG", 4, 36)
    area_mm2: Fact[float] | None = fact("copper of each wire, mm²", 0.03, 50)
    aluminium: Fact[bool] | None = fact("copper-clad aluminium, not copper")
    fuse_amps: Fact[float] | None = fact("rating of its fuse, A", 0.01, 1000)
    fuse_class: Fact[FuseClass] | None = fact("what kind of fuse that is")
    fuse_at_m: Fact[float] | None = fact("how far its fuse sits from where the lead begins, metres", 0, 200)
    from_plug: Fact[Connector] | None = fact("the plug where the lead begins")
    to_plug: Fact[Connector] | None = fact("the plug where the lead ends")
    contact_milliohm: Fact[float] | None = fact("resistance of each contact of its plugs, milliohm", 0, 10_000)


@frozen
class Supply:
    """A 12 V source: volts, and the amps it may give. A battery's volts are those it rests at."""

    id: str
    volts: float
    amps: float | None = None
    facts: SupplyFacts = SupplyFacts()
    place: Place = field(default=Place(), compare=False)

    @property
    def is_battery(self) -> bool:
        """Whether it is said to be a battery, or has what only batteries have."""
        facts = self.facts
        return value_of(facts.kind) == "battery" or (
            facts.kind is None and (facts.chemistry is not None or facts.ah is not None)
        )


@frozen
class Lead:
    """A 12 V lead from `source` to `to`: a supply, part, block, box or converter. `socket` is the way out it begins
    at (the channel of a box), `also` what further parts hang on its end."""

    id: str
    source: str
    to: str
    facts: LeadFacts = LeadFacts()
    socket: str | None = None
    also: tuple[str, ...] = ()
    place: Place = field(default=Place(), compare=False)

    @property
    def ends(self) -> tuple[str, ...]:
        """All that its far end goes into."""
        return (self.to, *self.also)


@frozen
class TerminalBlock:
    """A block: one feed in, several leads out."""

    id: str
    facts: BlockFacts = BlockFacts()
    place: Place = field(default=Place(), compare=False)


@frozen
class PowerBox:
    """A box with channels; where a device has its name, it is that device's 12 V side."""

    id: str
    facts: BoxFacts = BoxFacts()
    channels: tuple[tuple[str, ChannelFacts], ...] = ()
    place: Place = field(default=Place(), compare=False)

    def channel(self, name: str | None) -> ChannelFacts:
        """What is known of a channel; nothing for one that is not listed."""
        return dict(self.channels).get(name or "", ChannelFacts())


@frozen
class Converter:
    """A converter with the volts at its output."""

    id: str
    volts: float
    facts: ConverterFacts = ConverterFacts()
    place: Place = field(default=Place(), compare=False)
