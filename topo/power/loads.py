"""What each part draws on the 12 V side, idle, in normal work and at its peak, as low, likely and high; and what its
current does as volts fall."""

from __future__ import annotations

from topo.frozen import frozen
from topo.model.facts import Basis, Range3, basis_of, value_of
from topo.model.power import ByState
from topo.model.records import Draws
from topo.model.rig import Device, Part

STATED_AT_VOLTS = 12.0
"""Data sheets state amps at 12 V unless they say otherwise (common practice, no source)."""

ABOUT_12 = (10.0, 16.0)
"""Volts of a 12 V system, whatever feeds it. Of a part that is fed others, as a small board by 5 V, people state amps
at those (common practice, no source); profiles state them at 12 V."""

SPREAD = Range3(0.8, 1.0, 1.25)
"""A part of the kind over the figure of its profile (our own, no source); what is declared counts as it stands."""


@frozen
class Drawing:
    """A part's load: amps at `volts`, what stays the same when volts are others, the weakest basis of it."""

    amps: ByState
    draws: Draws
    volts: float
    basis: Basis


def drawing(part: Part, fed_v: float = STATED_AT_VOLTS) -> Drawing | None:
    """What a part draws that is fed these volts; None where nobody says.

    What is not stated is a range: normal work from nothing to the peak; the peak from normal work to twice of it; at
    rest from nothing to normal work.
    """
    facts = part.facts
    stated = (facts.amps_idle, facts.amps_typical, facts.amps_peak)
    if all(fact is None for fact in stated):
        return None
    duty = value_of(part.use.duty_percent) if isinstance(part, Device) else None
    top = facts.amps_peak or facts.amps_typical or facts.amps_idle
    assert top is not None
    peak = _spread(top.value, top.basis)
    if facts.amps_peak is None:
        peak = Range3(peak.low, 1.5 * peak.likely, 2 * peak.high)
    if duty is not None and part.role == "dew":
        typical = peak.scaled(duty / 100)
    elif facts.amps_typical is not None:
        typical = _spread(facts.amps_typical.value, facts.amps_typical.basis)
    else:
        typical = Range3(0.0, peak.likely / 2, peak.high)
    if facts.amps_idle is not None:
        idle = _spread(facts.amps_idle.value, facts.amps_idle.basis)
    else:
        idle = Range3(0.0, min(typical.likely / 2, typical.high), typical.high)
    own = top.basis in ("declared", "measured") and not ABOUT_12[0] <= fed_v <= ABOUT_12[1]
    usual = fed_v if own else STATED_AT_VOLTS
    return Drawing(
        ByState(idle, typical, peak), _draws(part), value_of(facts.amps_at_volts, usual),
        basis_of(*(fact for fact in (facts.amps_typical, top) if fact is not None)),
    )  # fmt: skip


def _spread(amps: float, basis: Basis) -> Range3:
    return SPREAD.scaled(amps) if basis in ("profile", "assumed") else Range3.of(amps)


def _draws(part: Part) -> Draws:
    """Heaters are resistors; all else has converters inside (common practice, no source)."""
    if isinstance(part, Device):
        return value_of(part.facts.draws, "ohms" if part.role == "dew" else "watts")
    return "watts"
