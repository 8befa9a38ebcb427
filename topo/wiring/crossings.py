"""Cables that cross an axis of the mount: derived from where parts sit, counted, never guessed.

The tube turns with both axes. The counterweight bar turns with the first alone. The mount's base, the pier and a desk
indoors stand still. A cable crosses as many axes as lie between its ends; where an end is not said, it is not known.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen
from topo.model.rig import Device

if TYPE_CHECKING:
    from topo.model.rig import Part, Rig, Seat

AXES_ABOVE: dict[Seat, int] = {"tube": 2, "counterweight": 1, "mount": 0, "pier": 0, "indoors": 0}
"""Axes that a part in this place turns with."""


@frozen
class Crossing:
    """A cable that crosses `axes` axes: the leg of `part` (`data`), a 12 V lead of that name (`power`), or the lead
    from the guide port of `part` (`pulse`). `near` and `far` are the parts at its ends, the far one being `part`'s."""

    kind: Literal["data", "power", "pulse"]
    part: str
    near: str
    far: str
    axes: int


def crossings(rig: Rig) -> tuple[Crossing, ...]:
    """Every cable that is known to cross an axis: data legs, then guide-port leads, then 12 V leads."""
    parts = {part.id: part for part in rig.parts}
    found: list[Crossing] = []
    for part in rig.plugged:
        if part.plug is not None and part.plug.part in parts:
            found += _between("data", part.id, parts[part.plug.part], part)
    for part in rig.devices:
        if part.pulse_lead is not None and part.pulse_lead in parts:
            found += _between("pulse", part.id, parts[part.pulse_lead], part)
    for lead in rig.leads:
        for end in lead.ends:
            if lead.source in parts and end in parts:
                found += _between("power", lead.id, parts[lead.source], parts[end])
    return tuple(found)


def _between(kind: Literal["data", "power", "pulse"], name: str, near: Part, far: Part) -> list[Crossing]:
    axes = axes_between(near.sits, far.sits)
    return [Crossing(kind, name, near.id, far.id, axes)] if axes else []


def axes_between(one: Seat | None, other: Seat | None) -> int | None:
    """Axes between two places; None where one is not said."""
    if one is None or other is None:
        return None
    return abs(AXES_ABOVE[one] - AXES_ABOVE[other])


def places_missing(rig: Rig) -> tuple[str, ...]:
    """Plugged parts of which it is not said where they sit, in a rig in which it is said of some."""
    if not any(part.sits for part in rig.parts):
        return ()
    return tuple(part.id for part in rig.parts if part.sits is None and _has_cable(rig, part))


def _has_cable(rig: Rig, part: Part) -> bool:
    return part.plug is not None or part.id == rig.computer.id or (isinstance(part, Device) and bool(part.pulse_lead))
