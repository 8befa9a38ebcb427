"""A cable is put together of pieces, or is a flat one, where that is known to fail.

Each joint adds contacts that oxidise and loosen, and reflects a little of what passes; SuperSpeed allows for none
(published limits of length are for one cable with its two plugs). Flat ribbon leads carry their pairs unshielded beside
each other: cameras that timed out with one ran with a round, shielded lead (published, several threads). Over an axis
each of these is worse.

A risk where a joint or a flat lead carries SuperSpeed over an axis, a note for a joint or flat lead at SuperSpeed and
for two joints or more, or one over an axis, at USB 2.

Wrong if the device runs a night without a gap on a new cable of one piece and as well on this one.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.model.change import Proposal, SetCable
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain
from topo.model.records import CableFacts
from topo.wiring.crossings import crossings

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Part


def find(study: Study) -> Iterator[Finding]:
    """One finding for each cable that invites trouble."""
    crossed = {each.part for each in crossings(study.rig) if each.kind == "data"}
    for part in study.rig.plugged:
        leg = study.topology.leg(part.id)
        if leg is None or leg.socket.kind != "usb":
            continue
        severity = _severity(study, part, part.id in crossed)
        if severity is not None:
            yield _finding(part, severity, part.id in crossed)


def _severity(study: Study, part: Part, crosses: bool) -> Severity | None:
    joints, flat = value_of(part.cable.joints, 0), bool(value_of(part.cable.flat))
    behind = (part.id, *study.topology.below(part.id))
    fast = any((speed := study.topology.speed(name)) is not None and speed.is_superspeed for name in behind)
    if fast and (joints or flat):
        return "risk" if crosses else "note"
    return "note" if joints > 1 or (crosses and (joints or flat)) else None


def _finding(part: Part, severity: Severity, crosses: bool) -> Finding:
    joints, flat = value_of(part.cable.joints, 0), bool(value_of(part.cable.flat))
    what = [f"has {joints} joint{'s' if joints > 1 else ''}"] if joints else []
    what += ["is a flat ribbon"] if flat else []
    cable = part.cable
    whole = CableFacts(length_m=cable.length_m, grade=cable.grade, gauge_awg=cable.gauge_awg, active=cable.active)
    size = "" if cable.length_m is None else f" of {cable.length_m.value:g} m"
    words = f"a round, shielded cable{size} in one piece for {plain(part.id)}"
    return Finding(
        name="cable-in-pieces",
        severity=severity,
        certainty="possible",
        part=part.id,
        place=part.place,
        message=f"The cable of {plain(part.id)} {' and '.join(what)}"
        f"{', and runs over an axis of the mount' if crosses else ''}.",
        figures=(Figure("joints", joints, "", basis_of(cable.joints)),) if joints else (),
        refuted_by="a new cable of one piece changes nothing",
        fix=Fix(
            f"Use one round, shielded cable for {plain(part.id)}.", (Proposal((SetCable(part.id, whole),), (words,)),)
        ),
    )


CHECK = Check(
    name="cable-in-pieces",
    summary="a cable has joints or is flat where that is known to fail",
    tested_by="`topo watch RIG` notes each drop through a night",
    explanation=__doc__,
    severities=("risk", "note"),
    symptoms=("drops when touched", "fails with an extension"),
    find=find,
    scope="controller",
    cases=(
        Case("one round cable", rig(imaging("computer/usb3-1", "cable: {length_m: 2, joints: 0}")), 0),
        Case("one joint at USB 2", rig(imaging("computer/usb2-1", "cable: {length_m: 2, joints: 1}")), 0),
        Case("one joint at SuperSpeed", rig(imaging("computer/usb3-1", "cable: {length_m: 2, joints: 1}")), 1),
        Case("a flat lead at SuperSpeed", rig(imaging("computer/usb3-1", "cable: {flat: yes}")), 1),
    ),
)
