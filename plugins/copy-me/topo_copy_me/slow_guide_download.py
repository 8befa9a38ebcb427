"""A guide camera's download takes longer than its exposure.

The time between two guide frames is exposure plus download. Where the download is the longer half, a shorter exposure
hardly makes guiding quicker: the mount is corrected less often than the person set out to. Binning, a smaller region or
a faster path shortens the download.

Wrong if the guiding log shows frames as often as the exposure asks for.
"""

from __future__ import annotations

from collections.abc import Iterator

from topo.analysis.study import Study
from topo.model.change import Proposal, SetUse
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Part

NAME = "slow-guide-download"


def find(study: Study) -> Iterator[Finding]:
    """One finding for each guide camera whose download outlasts its exposure at some end of what is uncertain."""
    for part in study.of_role("guiding"):
        exposure, download = value_of(part.use.exposure_s), study.device(part.id).alone_s
        if exposure is None or download is None or download.high <= exposure:
            continue
        yield Finding(
            name=NAME, severity="note", certainty="certain" if download.low > exposure else "possible",
            part=part.id, place=part.place,
            # A name may hold anything: `plain` takes out what is invisible. The report escapes the rest.
            message=f"The download of {plain(part.id)} takes longer than its exposure.",
            figures=(
                Figure("exposure", exposure, "s", basis_of(part.use.exposure_s)),
                Figure("download alone", download, "s", basis_of(part.facts.width_px)),
            ),
            refuted_by="the guiding log shows frames as often as the exposure asks for",
            fix=_fix(part),
        )


def _fix(part: Part) -> Fix:
    """What to do in words, and a change that could help. topo does it on the rig, runs the check again, and says that
    it clears the finding only where it does: nothing is promised here."""
    factor = int(value_of(part.use.bin, 1)) * 2
    return Fix("Bin it, or read a smaller part of the frame.", offers=(Proposal((SetUse(part.id, "bin", factor),)),))


_RIG = """\
rig: A case
computer: {ports: {usb2-1: {speed: high}}}
devices:
  guide-camera: {role: guiding, profile: camera-slit-viewer-2mp, plug: computer/usb2-1, use: {exposure_s: EXPOSURE}}
"""

CHECK = Check(
    name=NAME,
    summary="a guide camera's download takes longer than its exposure",
    explanation=__doc__,
    severities=("note",),
    find=find,
    # 1920 x 1080 samples of two bytes are 4.15 MB: 0.10 to 0.11 s at 37.7 to 40 MB/s, and a fixed time.
    cases=(
        Case("an exposure of two seconds", _RIG.replace("EXPOSURE", "2"), 0),
        Case("an exposure of 50 ms", _RIG.replace("EXPOSURE", "0.05"), 1),
    ),
)
