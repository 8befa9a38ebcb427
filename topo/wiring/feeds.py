"""The 12 V side of a rig file as things of a rig."""

from __future__ import annotations

from typing import Any

from topo.model.feeds import Converter, Lead, PowerBox, Supply, TerminalBlock
from topo.model.place import Place
from topo.rigfile.document import RigFile
from topo.rigfile.entries import LeadEntry


def power_fields(rigfile: RigFile) -> dict[str, Any]:
    """The 12 V side, as fields of a rig."""
    power = rigfile.document.power
    if power is None:
        return {}

    def at(section: str, name: str) -> Place:
        return rigfile.place("power", section, name)

    return {
        "supplies": tuple(Supply(name, each.volts, each.amps, each.facts, at("supplies", name))
                          for name, each in power.supplies.items()),
        "leads": tuple(_lead(name, each, at("leads", name)) for name, each in power.leads.items()),
        "blocks": tuple(TerminalBlock(name, each.facts, at("blocks", name)) for name, each in power.blocks.items()),
        "boxes": tuple(PowerBox(name, each.facts, tuple((way, it.facts) for way, it in each.channels.items()),
                                at("boxes", name)) for name, each in power.boxes.items()),
        "converters": tuple(Converter(name, each.volts, each.facts, at("converters", name))
                            for name, each in power.converters.items()),
    }  # fmt: skip


def _lead(name: str, entry: LeadEntry, place: Place) -> Lead:
    source, _, channel = entry.source.partition("/")
    return Lead(name, source, entry.to, entry.facts, channel or None, entry.also, place)
