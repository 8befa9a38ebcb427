"""Plugs of one kind carry unlike volts, and fit each other's sockets.

Barrel plugs say nothing of volts: those of 5 V, 12 V and 19 V supplies are the same two sizes. A hub of 5 V that gets
12 V is dead before anybody notices, and in the dark all of them feel alike.

A risk: certain where both plugs are declared. Told where the volts of the two differ by more than a quarter.

Wrong if the plugs are keyed so that only the right one goes in.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import PLAIN_PC, guiding, imaging
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure, value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.power.tree import trees

if TYPE_CHECKING:
    from topo.analysis.study import Study

APART_BY = 1.25
"""Volts that differ by more are not alike (our own proposal, no source)."""

NO_VOLTS = ("screw", "ring", "soldered", "usb-c", "usb-a")
"""Ends that nobody exchanges in the dark, or that negotiate their volts."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each kind of plug that carries unlike volts."""
    plugs: dict[str, list[tuple[float, str, str]]] = {}
    for tree in trees(study.rig):
        for branch in tree.branches:
            end = value_of(branch.lead.facts.to_plug)
            if end is not None and end not in NO_VOLTS:
                plugs.setdefault(end, []).append((tree.source.volts, branch.lead.id, branch.lead.to))
    for plug, found in plugs.items():
        low, high = min(found), max(found)
        if high[0] <= APART_BY * low[0]:
            continue
        lead = next(each for each in study.rig.leads if each.id == low[1])
        yield Finding(
            name="plugs-alike",
            severity="risk",
            certainty="certain",
            part=low[2],
            place=lead.place,
            message=f"The plugs of {plain(low[1])} ({low[0]:g} V) and {plain(high[1])} ({high[0]:g} V) are both "
            f"{plain(plug)}: each fits the other's socket.",
            figures=(Figure(f"volts of {low[1]}", low[0], "V", "declared"),
                     Figure(f"volts of {high[1]}", high[0], "V", "declared")),
            others=(high[2],),
            refuted_by="the plugs are keyed so that only the right one goes in",
            fix=Fix(f"Free first: label both ends of each lead with its volts, and tie each to its part. Better: "
                    f"another kind of plug for one of them. {SHORT}"),
        )


def _fed(first: str, second: str) -> str:
    leads = (f"one: {{from: low, to: main-camera, to_plug: {first}}}, "
             f"two: {{from: high, to: guide-camera, to_plug: {second}}}")
    power = f"power:\n  supplies: {{low: {{volts: 5}}, high: {{volts: 12}}}}\n  leads: {{{leads}}}\n"
    return PLAIN_PC + f"devices:\n  {imaging('computer/usb3-1')}\n  {guiding('computer/usb2-1')}\n" + power


CHECK = Check(
    name="plugs-alike",
    summary="plugs of one kind carry unlike volts",
    explanation=__doc__,
    severities=("risk",),
    symptoms=("hub dead after plugging in power",),
    find=find,
    scope="no-plug",
    cases=(
        Case("5 V and 12 V on unlike plugs", _fed("barrel-2.1", "barrel-2.5"), 0),
        Case("5 V and 12 V on the same plug", _fed("barrel-2.1", "barrel-2.1"), 1),
        Case("5 V and 12 V on screws", _fed("screw", "screw"), 0),
    ),
)
