"""The negatives of two supplies meet nowhere but in a data cable.

Mains supplies without an earth pin float: between the negatives of two of them lie several to tens of volts of leakage,
through high resistance. Where a data cable is the only joint, that leakage runs through its ground, and the moment one
of the plugs goes in or out it jumps: random resets, ports that die, a tingle at the case (published, many threads).
With batteries nothing leaks, but what one part draws can still come back through the data cable.

Free: feed all of it from one supply, or join the negatives at one point by a 12 V lead, and always plug 12 V before
data. An extender over network cable or fibre, or an isolator, cuts the joint.

A risk with two mains supplies or where their kind is not said, a note where all but one are batteries.

Wrong if a meter shows less than a volt, alternating, between the USB shell and the other supply's negative before the
plug goes in.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import PLAIN_PC, imaging
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study


def find(study: Study) -> Iterator[Finding]:
    """One finding for each data cable in which the negatives of supplies meet."""
    rig = study.rig
    if len(rig.supplies) < 2:
        return
    from topo.power.grounds import grounds

    supplies = {supply.id: supply for supply in rig.supplies}
    ground_map = grounds(rig)
    for meet in ground_map.meets:
        mains = [name for name in meet.supplies if not supplies[name].is_battery]
        severity: Severity = "risk" if len(mains) > 1 else "note"
        part = rig.part(meet.part)
        yield Finding(
            name="grounds-meet-in-data",
            severity=severity,
            certainty="certain" if severity == "note" else "possible",
            part=part.id,
            place=part.place,
            message=f"The negatives of {listed(meet.supplies)} meet only in the data cable of {plain(part.id)}.",
            figures=(
                *(Figure(f"volts of {name}", supplies[name].volts, "V", "declared") for name in meet.supplies),
                Figure("ground loops by data cables", len(ground_map.loops), "", "declared"),
            ),
            others=(meet.above,) if meet.above != rig.computer.id else (),
            refuted_by="a meter shows less than a volt between the USB shell and the other supply's negative",
            fix=Fix(
                "Free first: feed both sides from one supply, if it gives the amps. Plug 12 V in before data, and pull "
                "data out before 12 V. Or join the negatives of the supplies at one point by a 12 V lead; or put an "
                f"isolator, or an extender over network cable or fibre, into the data cable. {SHORT}"
            ),
        )


def _fed(supplies: str, leads: str, plug: str = "computer/usb3-1", hubs: str = "") -> str:
    power = f"power:\n  supplies: {{{supplies}}}\n  leads: {{{leads}}}\n"
    return PLAIN_PC + hubs + f"devices:\n  {imaging(plug)}\n" + power


BOTH = "desk: {volts: 12}, pier: {volts: 12}"
APART = "one: {from: desk, to: computer}, two: {from: pier, to: main-camera}"
FIBRE = "hubs:\n  far: {over: fibre, speed: super, ports: 4, plug: computer/usb3-1}\n"

CHECK = Check(
    name="grounds-meet-in-data",
    summary="the negatives of two supplies meet only in a data cable",
    tested_by="a meter between the two negatives with all data plugs out",
    explanation=__doc__,
    severities=("risk", "note"),
    symptoms=("random resets when touched", "resets with one supply", "tingle at the case"),
    find=find,
    cases=(
        Case("one supply for both", _fed(BOTH, APART.replace("desk", "pier")), 0),
        Case("a supply each", _fed(BOTH, APART), 1),
        Case("a battery each", _fed(BOTH.replace("12", "12, kind: battery"), APART), 1),
        Case("a supply each, with fibre between", _fed(BOTH, APART, "far/1", FIBRE), 0),
    ),
)
