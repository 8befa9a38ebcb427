"""A camera or hub has no plug, so nothing about its path can be computed.

What is not known is left out of the file, and that is fine for a dew strap or a hand-set focuser. For a camera or a hub
it means that every sharing finding is blind to it: a risk for an imaging or guide camera and for a hub, since what is
not known must not pass for a rig that is fit; a note for another camera.

The same is told of a part that a scan finds elsewhere than the file has it, where nothing tells the socket. Of a part
that the scan does not find at all `part-missing` tells.

Wrong if it really uses no USB: say `interface: none`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import BIG_CAMERA, imaging, rig
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study


def find(study: Study) -> Iterator[Finding]:
    """One finding for each hub and each camera without a plug."""
    for part in study.rig.plugged:
        wanted = part.kind == "hub" or part.sends_frames or part.role in ("imaging", "guiding")
        if part.plug is not None or part.id in study.rig.unseen or not wanted or part.interface == "none":
            continue
        yield Finding(
            name="not-wired",
            severity="risk" if part.kind == "hub" or part.role in ("imaging", "guiding") else "note",
            certainty="certain",
            part=part.id,
            place=part.place,
            message=f"{plain(part.id)} {_where(study, part.id)}, so its path is left out of everything below.",
            refuted_by="it uses no USB",
            fix=Fix(f"{_write(study, part.id)}, or `interface: none` if it uses no USB."),
        )


def _where(study: Study, name: str) -> str:
    return "is not where the file has it, and the scan does not tell its socket" if name in study.rig.unplaced else (
        "has no plug in the file"
    )


def _write(study: Study, name: str) -> str:
    return "Look which socket it is in and write it as `plug: PART/SOCKET`" if name in study.rig.unplaced else (
        "Add `plug: PART/SOCKET`"
    )


CHECK = Check(
    name="not-wired",
    summary="a camera or hub has no plug in the file",
    tested_by="`topo compare RIG` shows where it is plugged in",
    explanation=__doc__,
    severities=("risk", "note"),
    find=find,
    scope="no-plug",
    cases=(
        Case("a camera with a plug", rig(imaging("computer/usb3-1")), 0),
        Case("a camera without", rig(f"main-camera: {{role: imaging, {BIG_CAMERA}}}"), 1),
    ),
)
