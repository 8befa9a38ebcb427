"""A camera's frame may take longer to come than its program waits for it.

Programs give a frame up some time after its exposure should be over (`timeout_s` under `use:`). One maker's rule is
twice the exposure and half a second. What a download takes alone, and with all others at once, is computed here for the
night as planned; and for the night on which a leg of the camera's path carries no SuperSpeed any more, when the same
download takes several times as long.

A fault where the download alone takes longer: certain if so at every end of what computers deliver. A risk where it
does only with others beside it, or at one end; a note where it would on the night a cable fails.

Wrong if the program waits longer than the file says.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.help import fix_by
from topo.frozen import replace
from topo.model.change import SetCable, SetUse
from topo.model.check import Case, Check
from topo.model.facts import Fact, Figure, basis_of, value_of
from topo.model.finding import Certainty, Finding, Severity
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study


def find(study: Study) -> Iterator[Finding]:
    """One finding for each camera of single frames whose time-out is shorter than its frame may take."""
    for part in study.rig.devices:
        waits, device = value_of(part.use.timeout_s), study.device(part.id)
        if waits is None or device.alone_s is None or device.flow != "still":
            continue
        told = _ordinary(study, part.id, waits)
        if told is not None:
            yield _finding(study, part.id, waits, *told, "")
            continue
        for leg in study.topology.path(part.id):
            fallen = _fallen(study, leg.part)
            if (after := _ordinary(fallen, part.id, waits)) is not None:
                words = f" on the night the cable of {plain(leg.part)} carries no SuperSpeed"
                yield _finding(fallen, part.id, waits, "risk" if after[0] == "fault" else "note", "possible", words)
                break


def _ordinary(study: Study, name: str, waits: float) -> tuple[Severity, Certainty] | None:
    device = study.device(name)
    alone, together = device.alone_s, device.together_s
    assert alone is not None and together is not None
    if alone.high > waits:
        return "fault", "certain" if alone.low > waits else "possible"
    return ("risk", "possible") if together.high > waits else None


def _fallen(study: Study, leg_part: str) -> Study:
    return study.what_if(SetCable(leg_part, replace(study.rig.part(leg_part).cable, grade=Fact("usb2", "assumed"))))


def _finding(
    study: Study, name: str, waits: float, severity: Severity, certainty: Certainty, when: str
) -> Finding:
    part = study.rig.device(name)
    device = study.device(name)
    longest = max(value.high for value in (device.alone_s, device.together_s) if value is not None)
    ends = longest < math.inf
    longer = (SetUse(name, "timeout_s", float(max(10, round(longest * 2 + 0.5)))),) if ends else ()
    return Finding(
        name="would-time-out",
        severity=severity,
        certainty=certainty,
        part=name,
        place=part.place,
        message=f"The program gives up frames of {plain(name)} {waits:g} s after the exposure; they may "
        f"{f'take {longest:.2g} s' if ends else 'never come whole'}{when}.",
        figures=_figures(study, name),
        refuted_by="the program waits longer than the file says",
        fix=fix_by(
            longer,
            lambda after: _figures(after, name),
            "Set a longer time-out in the program, or give the camera a faster path." if ends else
            "Give the camera a faster path: no time-out is long enough for a frame that never comes.",
        ),
    )


def _figures(study: Study, name: str) -> tuple[Figure, ...]:
    device, part = study.device(name), study.rig.device(name)
    return (
        Figure("time-out", value_of(part.use.timeout_s), "s", basis_of(part.use.timeout_s)),
        Figure("download alone", device.alone_s, "s", "profile"),
        Figure("with the others", device.together_s, "s", "profile"),
    )


def _camera(timeout_s: float, plug: str) -> str:
    return (f"main-camera: {{role: imaging, width_px: 9576, height_px: 6388, speed: super, readout_mb_per_s: 350, "
            f"frame_memory_mb: 512, plug: {plug}, use: {{exposure_s: 60, timeout_s: {timeout_s:g}}}}}")


CHECK = Check(
    name="would-time-out",
    summary="a frame may take longer to come than its program waits for it",
    tested_by="`topo chase RIG --symptom camera-timeout` finds what is to blame",
    explanation=__doc__,
    severities=("fault", "risk", "note"),
    symptoms=("exposure times out", "the program gives a frame up"),
    find=find,
    scope="controller",
    cases=(
        Case("61 MP at SuperSpeed in 5 s", rig(_camera(5, "computer/usb3-1")), 0),
        Case("61 MP on USB 2 in 2 s", rig(_camera(2, "computer/usb2-1")), 1),
        Case("61 MP at SuperSpeed in 2 s, until a cable fails", rig(_camera(2, "computer/usb3-1")), 1),
    ),
)
