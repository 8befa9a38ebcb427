"""Figures of the rig file that were measured: what stands beside them under `measured:`, and what that makes of them.

`measured: {readout_mb_per_s: "38.2, USB capture of 2026-11-24"}` says of the figure 38.2 under that key that it is no
claim of the person's. A figure that is changed afterwards is a claim again: the note speaks of another one.
"""

from __future__ import annotations

from functools import partial
from typing import Any

from topo.frozen import replace
from topo.model.declare import known, names_of, with_facts
from topo.model.facts import Fact
from topo.model.records import DeviceFacts, SeenFacts, SerialFacts, UseFacts
from topo.rigfile.content import Content
from topo.rigfile.entries import DeviceEntry
from topo.rigfile.problems import Problems, nearest, shown

GROUPS: tuple[tuple[str, Any], ...] = (("use", UseFacts), ("serial", SerialFacts), ("seen", SeenFacts))
"""Sections of a device that hold facts of their own; their keys are written with a dot: `seen.interval_s`."""
APART = ", "
EXAMPLE = 'for instance `readout_mb_per_s: "38.2, USB capture of 2026-11-24"`'


def note_of(value: Any, source: str) -> str:
    """What is written under `measured:` for a figure: the figure, and where it comes from."""
    from topo.rigfile.quote import as_text

    return f"{as_text(value)}{APART}{source}"


def with_measured(entry: DeviceEntry) -> DeviceEntry:
    """A device whose figures are `measured`, with their source, where a note speaks of just that figure."""
    notes = {key: note.partition(APART) for key, note in (entry.measured or {}).items()}
    if not notes:
        return entry
    changed: dict[str, Any] = {"facts": _marked(entry.facts, "", notes)}
    for name, _ in GROUPS:
        if (record := getattr(entry, name)) is not None:
            changed[name] = _marked(record, f"{name}.", notes)
    return replace(entry, **changed)


def _marked(record: Any, before: str, notes: dict[str, tuple[str, str, str]]) -> Any:
    found = {}
    for name, fact in known(record):
        figure, _, source = notes.get(before + name, ("", "", ""))
        if source and _same(figure, fact.value):
            found[name] = Fact(fact.value, "measured", source)
    return with_facts(record, found)


def _same(figure: str, value: Any) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return note_of(value, "") == figure + APART
    try:
        return float(figure) == value
    except ValueError:
        return False


def check_measured(content: Content, devices: dict[str, Any], problems: Problems) -> None:
    """Notes keys under `measured:` that are no figure of a device, and notes that tell no figure or no source."""
    keys = (*names_of(DeviceFacts), *(f"{name}.{key}" for name, record in GROUPS for key in names_of(record)))
    for name, entry in devices.items():
        notes = entry.get("measured") if isinstance(entry, dict) else None
        for key, note in (notes if isinstance(notes, dict) else {}).items():
            place = content.key_at("devices", name, "measured", key)
            if key not in keys:
                problems.add(place.line, place.column, f"'{shown(key)}' is no figure of a device",
                             partial(nearest, key, keys))
            elif isinstance(note, str) and not all(note.partition(APART)):
                place = content.value_at("devices", name, "measured", key)
                problems.add(place.line, place.column, f"`{key}` takes a figure and where it was measured, not "
                             f"'{shown(note)}'", EXAMPLE)
