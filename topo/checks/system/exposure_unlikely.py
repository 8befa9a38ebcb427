"""An exposure so long that it was probably meant in another unit.

`exposure_s` is in seconds. A guide exposure of 2000 or an imaging exposure of 60000 usually means milliseconds. Nothing
is late behind such an exposure, so the rig looks better than it is.

A note that asks: over an hour for a single picture, over a minute for a guide frame (common practice, no source;
guide exposures seen are 0.5 to 15 s).

Wrong if you do expose that long.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, imaging, rig
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.figures import seconds
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study

LONGEST_S = {"guiding": 60.0}
"""Exposures that are still believed, by role, s."""

LONGEST_PICTURE_S = 3600.0
"""The same for every other role, s."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each camera whose exposure is longer than anybody's."""
    for part in study.rig.devices:
        exposure = value_of(part.use.exposure_s)
        if exposure is None or exposure <= LONGEST_S.get(part.role, LONGEST_PICTURE_S):
            continue
        frame = "guide frame" if part.role == "guiding" else "picture"
        yield Finding(
            name="exposure-unlikely",
            severity="note",
            certainty="possible",
            part=part.id,
            place=part.place,
            message=f"{plain(part.id)} takes {seconds(exposure)} for one {frame}. Were milliseconds meant? That would "
            f"be {seconds(exposure / 1000.0)}, and everything below would be computed anew.",
            figures=(Figure("exposure", exposure, "s", basis_of(part.use.exposure_s)),),
            refuted_by="you do expose that long",
            fix=Fix("Write `exposure_s` in seconds."),
        )


CHECK = Check(
    name="exposure-unlikely",
    summary="an exposure so long that another unit was probably meant",
    explanation=__doc__,
    severities=("note",),
    find=find,
    scope="no-plug",
    cases=(
        Case("the longest exposure in use", rig(imaging("computer/usb3-1", exposure_s=1800)), 0),
        Case("an imaging exposure in milliseconds", rig(imaging("computer/usb3-1", exposure_s=60000)), 1),
        Case("the longest guide exposure in use", rig(guiding("computer/usb2-1", exposure_s=15)), 0),
        Case("a guide exposure in milliseconds", rig(guiding("computer/usb2-1", exposure_s=2000)), 1),
    ),
)
