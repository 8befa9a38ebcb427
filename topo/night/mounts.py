"""How the mount of a guide camera moves: from the file or its profile, else a range that says it is assumed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.model.facts import BASES, Fact, Range3, value_of
from topo.model.night import SMOOTH, Mount

if TYPE_CHECKING:
    from topo.model.records import DeviceFacts
    from topo.model.rig import Device, Rig

UNKNOWN_ERROR = Range3(10.0, 20.0, 60.0)
UNKNOWN_PERIOD_S = Range3(240.0, 480.0, 600.0)
"""Peak to peak arcsec and period of a mount of which nothing is known: worms from fine to entry class (published
classes of mounts; the middle is common practice)."""

WORM_PERIODS = Range3(0.8, 1.0, 1.07)
"""What a profile's period stands for: most worms turn in 480 to 640 s (common practice, no source)."""

ROUGHER = {"strain-wave": Range3(1.0, 1.2, 1.6)}
"""How much faster than a sinusoid of its size: a term of 30 % at half the period (computed; that there is one: common
practice, no source)."""

LIKELY_PERIOD_S = 480.0
"""Period that is taken where only a rate is known: what counts is then the rate."""


def mount_of_guide(rig: Rig, guide: Device) -> Device | None:
    """The mount a guide camera steers: the one it names, else the only one of the rig."""
    mounts = [part for part in rig.devices if part.role == "mount"]
    if guide.guides is not None:
        return next((part for part in mounts if part.id == guide.guides), None)
    return mounts[0] if len(mounts) == 1 else None


def mount_motion(part: Device | None) -> Mount:
    """How a mount moves. A rate that was declared goes before the swing of a profile: it was measured here."""
    if part is None:
        return Mount(None, UNKNOWN_ERROR, UNKNOWN_PERIOD_S, known=False)
    facts = part.facts
    swing, rate = facts.periodic_error_arcsec, facts.drift_arcsec_per_s
    if rate is not None and (swing is None or BASES.index(rate.basis) < BASES.index(swing.basis)):
        period = value_of(facts.periodic_error_period_s) or LIKELY_PERIOD_S
        return Mount(part.id, Range3.of(rate.value * period / math.pi), Range3.of(period))
    if swing is None:
        return Mount(part.id, UNKNOWN_ERROR, UNKNOWN_PERIOD_S, known=False)
    rougher = ROUGHER.get(value_of(facts.gear) or "", SMOOTH)
    return Mount(part.id, _swings(facts, swing), _periods(facts), rougher)


def _swings(facts: DeviceFacts, swing: Fact[float]) -> Range3:
    """What was declared of this mount is one figure; a class of mounts runs from its best to its worst."""
    least = facts.periodic_error_least_arcsec
    if swing.basis != "profile" or least is None or least.value >= swing.value:
        return Range3.of(swing.value)
    return Range3(least.value, (least.value + swing.value) / 2.0, swing.value)


def _periods(facts: DeviceFacts) -> Range3:
    period = facts.periodic_error_period_s
    if period is None:
        return UNKNOWN_PERIOD_S
    if period.basis == "profile" and value_of(facts.gear) == "worm":
        return WORM_PERIODS.scaled(period.value)
    return Range3.of(period.value)
