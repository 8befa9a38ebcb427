"""Words and bars of a chase that text, page and post share: chances, minutes, suspects, outcomes."""

from __future__ import annotations

from topo.chase.ending import Alike
from topo.model.chase import GOES, MOVES, STAYS, Dossier
from topo.model.plain import plain

BAR = 20
"""Cells of a full bar."""
UNLIKELY = 0.02
"""Suspects below this chance are counted, not listed."""


def bar(chance: float) -> str:
    """The chance as a bar of characters, at least one."""
    return "#" * (round(chance * BAR) or 1)


def percent(chance: float) -> str:
    """A chance as whole hundredths in four cells, cut and not rounded: 95 is said where a chase may end, not before."""
    return f"{min(99, int(chance * 100.0 + 1e-9)):2d} %"


def named(case: Dossier, group: Alike) -> str:
    """The suspects of a group, names made safe."""
    return ", or ".join(plain(case.suspects[place].words, 300) for place in group)


def outcome_said(outcome: str) -> str:
    """An outcome as it was seen."""
    return {STAYS: "Still seen", MOVES: "Moved elsewhere", GOES: "Not seen"}.get(outcome, outcome.capitalize())


def typed(outcome: str) -> str:
    """An outcome as it is typed after --saw."""
    return {STAYS: "yes", MOVES: "moved", GOES: "no"}.get(outcome, outcome)


def minutes(value: float) -> str:
    """Minutes as people say them."""
    if value < 1.0:
        return f"{max(1, round(value * 60))} s"
    if value < 3.0 and (tens := round(value * 6.0)) % 6:
        return f"{tens * 10} s"
    if value < 120.0:
        return f"{round(value)} min"
    hours = value / 60.0
    return f"{hours:.0f} h" if hours >= 10.0 else f"{hours:.1f} h"
