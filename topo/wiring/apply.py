"""Changes applied to a rig: a new rig with the plug moved, the cable changed, the setting set. Nothing is written."""

from __future__ import annotations

from topo.errors import CommandError
from topo.frozen import replace
from topo.model.change import (
    AddCard,
    AddPart,
    Change,
    MovePlug,
    SetCable,
    SetLead,
    SetSerial,
    SetSupply,
    SetUse,
    SwapPlugs,
)
from topo.model.declare import names_of, with_facts
from topo.model.facts import Fact
from topo.model.feeds import Lead, LeadFacts
from topo.model.plain import plain
from topo.model.records import SerialFacts, UseFacts
from topo.model.rig import Device, Part, Place, Plug, Rig


def apply(rig: Rig, change: Change) -> Rig:
    """The rig after a change. Raises CommandError where a part or socket it names does not exist."""
    if isinstance(change, AddPart):
        return rig.with_part(change.part)
    if isinstance(change, AddCard):
        computer = rig.computer
        return rig.with_part(replace(
            computer, controllers=(*computer.controllers, *change.controllers),
            sockets=(*computer.sockets, *change.sockets),
        ))  # fmt: skip
    if isinstance(change, SetLead | SetSupply):
        return _on_12_volts(rig, change)
    part = _part(rig, change.part)
    if isinstance(change, MovePlug):
        target = _part(rig, change.to_part)
        if target.socket(change.to_socket) is None:
            raise CommandError(f"{plain(change.to_part)} has no socket {plain(change.to_socket)}")
        plug = Plug(change.to_part, change.to_socket, _plug_place(part))
        return rig.with_part(_on_another_leg(replace(part, plug=plug)))
    if isinstance(change, SwapPlugs):
        other = _part(rig, change.other)
        swapped = rig.with_part(_on_another_leg(replace(part, plug=other.plug)))
        return swapped.with_part(_on_another_leg(replace(other, plug=part.plug)))
    if isinstance(change, SetCable):
        return rig.with_part(_on_another_leg(replace(part, cable=change.cable)))
    if isinstance(change, SetUse):
        if not isinstance(part, Device) or change.key not in names_of(UseFacts):
            raise CommandError(f"{plain(part.id)} has no setting {plain(change.key)}")
        return rig.with_part(replace(part, use=with_facts(part.use, {change.key: Fact(change.value, "declared")})))
    if isinstance(change, SetSerial):
        if not isinstance(part, Device) or change.key not in names_of(SerialFacts):
            raise CommandError(f"{plain(part.id)} has no setting {plain(change.key)} of a serial line")
        line = with_facts(part.serial, {change.key: Fact(change.value, "declared")})
        return rig.with_part(replace(part, serial=line))
    raise AssertionError(change)


def _on_12_volts(rig: Rig, change: SetLead | SetSupply) -> Rig:
    if isinstance(change, SetLead):
        if change.key not in names_of(LeadFacts) or all(lead.id != change.lead for lead in rig.leads):
            raise CommandError(f"no lead is called {plain(change.lead)}, or a lead has no {plain(change.key)}")
        return replace(rig, leads=tuple(_made_of(lead, change) if lead.id == change.lead else lead
                                        for lead in rig.leads))  # fmt: skip
    if change.key not in ("volts", "amps", "ah") or all(supply.id != change.supply for supply in rig.supplies):
        raise CommandError(f"no supply is called {plain(change.supply)}, or it has no {plain(change.key)}")
    return replace(rig, supplies=tuple(
        replace(supply, volts=change.value) if supply.id == change.supply and change.key == "volts"
        else replace(supply, amps=change.value) if supply.id == change.supply and change.key == "amps"
        else replace(supply, facts=with_facts(supply.facts, {"ah": Fact(change.value, "declared")}))
        if supply.id == change.supply else supply
        for supply in rig.supplies
    ))  # fmt: skip


def _made_of(lead: Lead, change: SetLead) -> Lead:
    """A lead of other wire is of that gauge alone: an area and a gauge do not stand beside each other."""
    other = {"gauge_awg": "area_mm2", "area_mm2": "gauge_awg"}.get(change.key)
    facts = with_facts(lead.facts, {change.key: Fact(change.value, "declared")})
    return replace(lead, facts=facts if other is None else with_facts(facts, {other: None}))


def _on_another_leg(part: Part) -> Part:
    """What was measured of a leg is not true of another socket or cable."""
    return replace(part, leg_speed=None)


def _part(rig: Rig, name: str) -> Part:
    try:
        return rig.part(name)
    except KeyError:
        raise CommandError(f"no part is called {plain(name)}") from None


def _plug_place(part: Part) -> Place:
    return part.plug.place if part.plug else part.place
