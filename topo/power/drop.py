"""Volts along the leads: V = I (2 L r), both conductors counted, currents added up from the far ends to the supply.

Currents are taken as they are declared, whatever the volts; a computer behind a converter draws more as volts fall, so
real volts may be a little lower. Contacts and fuses are not counted. Conductors are copper at 20 C, stranded: 2 % above
solid of the same area (ASTM B496, as quoted). A hot bundle has 16 % more at 60 C.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from topo.model.rig import Lead, Rig
from topo.usb.limits import conductor_ohm_per_m

STRANDED = 1.02
"""Resistance of stranded over solid copper of the same area."""

DEVICE_LIMIT_A = {18: 7.0, 16: 10.0, 14: 15.0, 12: 20.0, 10: 30.0}
"""Largest fuse for a copper conductor by its AWG (US code 240.4(D), read in reprints). Other tables differ by up to
nine times; none is 'the' answer, and local codes come first."""


def fed_by(rig: Rig, source: str) -> tuple[str, ...]:
    """Every part that hangs on a supply (or part), through any leads, in the order of the leads."""
    found: list[str] = []
    pending = [source]
    while pending:
        here = pending.pop(0)
        for lead in rig.leads:
            if lead.source == here and lead.to not in found and lead.to != source:
                found.append(lead.to)
                pending.append(lead.to)
    return tuple(found)


def lead_amps(rig: Rig, lead: Lead, amps: Mapping[str, float]) -> float:
    """The current through a lead, A: that of its part and of all that hangs on it. Unknown parts draw nothing."""
    return math.fsum(amps.get(name, 0.0) for name in (lead.to, *fed_by(rig, lead.to)))


def lead_drop_volts(rig: Rig, lead: Lead, amps: Mapping[str, float], stranded: float = STRANDED) -> float | None:
    """Volts lost on a lead, out and back. None where its length or gauge is not known."""
    if lead.length_m is None or lead.gauge_awg is None:
        return None
    ohm = 2 * lead.length_m * conductor_ohm_per_m(lead.gauge_awg) * stranded
    return lead_amps(rig, lead, amps) * ohm


def volts_at(rig: Rig, amps: Mapping[str, float], stranded: float = STRANDED) -> Mapping[str, float]:
    """Volts at each part whose leads are known all the way to a supply, in the order they are reached.

    0 where a lead cannot carry that current at all. A part that several leads end at is taken by the first of them:
    two supplies on one line are a fault of their own.
    """
    found: dict[str, float] = {}
    pending = [(supply.id, supply.volts) for supply in rig.supplies]
    while pending:
        source, volts = pending.pop(0)
        for lead in rig.leads:
            lost = lead_drop_volts(rig, lead, amps, stranded) if lead.source == source else None
            if lost is not None and lead.to not in found:
                found[lead.to] = max(0.0, volts - lost)
                pending.append((lead.to, found[lead.to]))
    return found
