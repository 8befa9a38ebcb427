"""What draws more for a while in a night: coolers at dusk, slews, focus runs. Plain happenings, as the night has them.

The simulated night knows its own (`topo/night/`): whoever has those hands them to `through_night` in place of these.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from topo.model.facts import value_of
from topo.model.night import Happening
from topo.model.rig import Device, Rig

USUAL_HOURS = 8.0
COOLING_S = 20 * 60.0
"""A cooler at full power until the sensor is cold: 15 to 30 minutes (common practice, no source)."""

SLEW_S, SLEW_EVERY_S = 60.0, 2 * 3600.0
"""A slew to the next target, and how often (common practice, no source)."""

REFOCUS_EVERY_MIN, REFOCUS_S = 60.0, 120.0
COOLED_AMPS = 1.5
"""Amps at the peak from which an imaging camera has a cooler (common practice, no source)."""

CALLS: dict[str, tuple[str, ...]] = {
    "focus-run": ("focuser",), "filter-change": ("filter-wheel",), "slew": ("mount",),
}  # fmt: skip
"""Whose motors run while something happens, by role; a cooler ramp is of the part it names. A dither is a guide pulse
and no slew: it draws nothing that counts."""


def night_seconds(rig: Rig) -> float:
    """How long the night is, s."""
    return value_of(rig.night.facts.hours, USUAL_HOURS) * 3600.0


def usual_happenings(rig: Rig) -> tuple[Happening, ...]:
    """Those of a usual night, in order of time: coolers start at once, the first slew comes at once, then both on and
    on; focus runs as the rig file plans them."""
    seconds = night_seconds(rig)
    found = [Happening("cooler-ramp", 0.0, COOLING_S, part.id) for part in rig.devices if _is_cooled(part)]
    mounts = [part for part in rig.devices if part.role == "mount"]
    focusers = [part for part in rig.devices if part.role == "focuser"]
    every = value_of(rig.night.facts.focus_every_min, REFOCUS_EVERY_MIN) * 60.0
    for part in mounts:
        found += [Happening("slew", at, SLEW_S, part.id) for at in _times(0.0, SLEW_EVERY_S, seconds)]
    for part in focusers:
        found += [Happening("focus-run", at, REFOCUS_S, part.id) for at in _times(SLEW_S, every, seconds)]
    return tuple(sorted(found, key=lambda each: (each.at_s, each.kind, each.part)))


def with_usual(rig: Rig, simulated: Iterable[Happening]) -> tuple[Happening, ...]:
    """Happenings of a simulated night, with coolers and slews as they usually are, which it does not simulate."""
    own = [each for each in simulated if each.kind in CALLS]
    usual = [each for each in usual_happenings(rig) if each.kind in ("cooler-ramp", "slew")]
    return tuple(sorted((*own, *usual), key=lambda each: (each.at_s, each.kind, each.part)))


def raised_by(rig: Rig, happening: Happening) -> frozenset[str]:
    """The parts that draw their peak while something happens."""
    roles = CALLS.get(happening.kind, ())
    own = {happening.part} if happening.kind == "cooler-ramp" else set()
    return frozenset(own | {part.id for part in rig.devices if part.role in roles})


def _is_cooled(part: Device) -> bool:
    return part.role == "imaging" and value_of(part.facts.amps_peak, 0.0) >= COOLED_AMPS


def _times(first: float, every: float, until: float) -> list[float]:
    """From the first on and on; none at dawn itself, since after it normal work goes on."""
    if every <= 0:
        return []
    return [first + index * every for index in range(math.ceil(max(0.0, until - first) / every))]
