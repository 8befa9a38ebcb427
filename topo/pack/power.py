"""What may be shown of facts and of the 12 V side: figures and words of the schema, under new names."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from topo.model.declare import Record, known

if TYPE_CHECKING:
    from topo.pack.mapping import NewNames
    from topo.rigfile.entries import LeadEntry, PowerEntry

WORD = re.compile(r"[a-z0-9][a-z0-9.-]{0,23}")
"""What a text among the facts may look like: words of the schema, such as `per-port`, `pcie3x4`, `3000x2000`."""


def shown_facts(record: Record | None) -> dict[str, Any]:
    """Facts whose value is a figure, yes or no, or a word of the schema; anything else does not pass."""
    facts = () if record is None else known(record)
    values = ((name, fact.value) for name, fact in facts)
    return {name: value for name, value in values
            if isinstance(value, bool | int | float) or (isinstance(value, str) and WORD.fullmatch(value))}


def filled(entries: Mapping[str, Any]) -> dict[str, Any]:
    """The entries that say something."""
    return {name: value for name, value in entries.items() if value is not None and value != {}}


def power_shown(power: PowerEntry, names: NewNames) -> dict[str, Any]:
    """The 12 V side as nested mappings of what may stay."""
    shown = {
        "supplies": {names.feed(name): filled({"volts": each.volts, "amps": each.amps, **shown_facts(each.facts)})
                     for name, each in power.supplies.items()},
        "blocks": {names.feed(name): shown_facts(each.facts) for name, each in power.blocks.items()},
        "boxes": {names.feed(name): filled({
            **shown_facts(each.facts),
            "channels": {names.channel(name, way): shown_facts(it.facts) for way, it in each.channels.items()},
        }) for name, each in power.boxes.items()},
        "converters": {names.feed(name): {"volts": each.volts, **shown_facts(each.facts)}
                       for name, each in power.converters.items()},
        "leads": {names.leads(name, "lead"): _lead(each, names) for name, each in power.leads.items()},
    }  # fmt: skip
    return {key: value for key, value in shown.items() if value or key in ("supplies", "leads")}


def _lead(lead: LeadEntry, names: NewNames) -> dict[str, Any]:
    source, _, channel = lead.source.partition("/")
    begins = names.feed(source) + (f"/{names.channel(source, channel)}" if channel else "")
    return filled({"from": begins, "to": names.feed(lead.to), "also": [names.feed(end) for end in lead.also] or None,
                   **shown_facts(lead.facts)})  # fmt: skip
