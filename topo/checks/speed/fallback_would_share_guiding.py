"""One bad cable or socket would turn into a guiding fault: the chain from a cable to the guide graph.

A SuperSpeed camera and a USB 2 guide camera on one hub, or on sockets of one controller, use separate wires, and all
is well. On a night when the imaging camera falls back to 480 Mb/s, because of a worn cable, a damp plug or a
stretched lead, both are on the same USB 2 bus, and guide frames wait for downloads. What that would do is computed
here for every cable on the imaging camera's path, before it happens.

If that night would do the pictures no harm, nothing is reported. Otherwise a note: nothing is wrong yet. It says
which cable to check first when guiding jumps, and where the guide camera would be safe. A risk if the cable is
already longer than its speed allows.

Wrong if the imaging camera shows 5 Gb/s at the moment of trouble (`topo live`, `topo watch`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, imaging, mount, rig
from topo.checks.help import fix_by, guide_figures
from topo.checks.speed.cable_too_long import too_long
from topo.frozen import replace
from topo.model.change import SetCable
from topo.model.check import Case, Check
from topo.model.facts import Fact
from topo.model.figures import seconds
from topo.model.finding import Finding, Glimpse, Later
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import AnyFinding
    from topo.model.night import GuideDelay


def find(study: Study) -> Iterator[Finding]:
    """One finding for each imaging camera at SuperSpeed whose fall-back would reach a guide camera."""
    for camera in study.of_role("imaging"):
        for guide in study.of_role("guiding"):
            finding = _chain(study, camera.id, guide.id)
            if finding is not None:
                yield finding


def glimpse(study: Study) -> Iterator[Glimpse]:
    """Those that are a risk: a cable on the way is longer than its speed allows."""
    for camera in study.of_role("imaging"):
        if any(too_long(study, leg.part) for leg in study.topology.path(camera.id)):
            for guide in study.of_role("guiding"):
                legs = _legs(study, camera.id, guide.id)
                if any(too_long(study, leg) for leg in legs) and _fallen(study, legs[0]).minds_sharing(guide.id):
                    yield Glimpse(CHECK.name, "risk", camera.id, _others(camera.id, guide.id, legs))


def still(study: Study, finding: AnyFinding) -> bool:
    """Whether the fall-back of an imaging camera would reach a guide camera still."""
    camera = finding.part
    for guide in study.of_role("guiding"):
        if legs := _legs(study, camera, guide.id):
            stretched = finding.severity == "note" or any(too_long(study, leg) for leg in legs)
            if stretched and _fallen(study, legs[0]).minds_sharing(guide.id):
                return True
    return False


def _fallen(study: Study, leg_part: str, *beside: str) -> Study:
    """The rig on the night a leg carries no SuperSpeed any more."""
    cable = replace(study.rig.part(leg_part).cable, grade=Fact("usb2", "assumed"))
    return study.what_if(SetCable(leg_part, cable), *beside)


def _shares(study: Study, camera: str, guide: str) -> bool:
    """Whether they make a pair: asked of the levels, because a whole set of pairs for each leg costs more."""
    flow, other = study.flow(guide), study.flow(camera)
    if flow is None or other is None or not flow.is_burst:
        return False
    return any(level.shared(flow, other) for level in study.levels)


def _legs(study: Study, camera: str, guide: str) -> list[str]:
    """The legs of a SuperSpeed camera, by their parts, that would make it share with a guide camera if they fell back;
    none where it shares as it is."""
    speed = study.topology.speed(camera)
    if speed is None or not speed.is_superspeed or _shares(study, camera, guide):
        return []
    found: dict[tuple[str, ...], bool] = {}
    legs = [leg.part for leg in study.topology.path(camera)]
    for leg in legs:
        if (fallen := _falls(study, leg)) not in found:
            found[fallen] = _shares(_fallen(study, leg), camera, guide)
    return [leg for leg in legs if found[_falls(study, leg)]]


def _falls(study: Study, leg: str) -> tuple[str, ...]:
    """The devices that fall back with a leg: which flows share a link then hangs on these and on nothing else."""
    topology = study.topology
    here = (name for name in (leg, *topology.below(leg)) if topology.part(name).kind == "device")
    return tuple(name for name in here if (speed := topology.speed(name)) is not None and speed.is_superspeed)


def _chain(study: Study, camera: str, guide: str) -> Finding | None:
    legs = _legs(study, camera, guide)
    if not legs:
        return None
    after = _fallen(study, legs[0])
    if not after.minds_sharing(guide):
        return None
    delay = after.delay_of(guide)
    assert delay is not None
    part = study.rig.part(camera)
    stretched = [leg for leg in legs if too_long(study, leg)]
    names = " or ".join(plain(leg) for leg in legs)
    return Finding(
        name="fallback-would-share-guiding",
        severity="risk" if stretched else "note",
        certainty="possible",
        part=camera,
        place=part.place,
        others=_others(camera, guide, legs),
        message=f"If the cable of {names} fails to carry SuperSpeed, {plain(camera)} drops to 480 Mb/s and shares "
        f"a USB 2 bus with {plain(guide)}. {_that_night(delay)} A cable fault would show up as a guiding fault.",
        figures=Later(lambda: guide_figures(after, guide)),
        refuted_by="the imaging camera still runs at SuperSpeed when guiding jumps",
        fix=fix_by(
            (),
            lambda then: guide_figures(_fallen(then, legs[0], guide), guide),
            "Keep a short known-good cable at hand for that leg; no free socket puts the guide camera on another "
            "USB 2 bus.",
        ),
    )


def _others(camera: str, guide: str, legs: list[str]) -> tuple[str, ...]:
    return (guide, *(leg for leg in legs if leg != camera))


def _that_night(delay: GuideDelay) -> str:
    """What that night would do, the worst first."""
    if delay.never:
        return "That night its frames may never come."
    lost = {"no": "", "possible": "frames may be lost and ", "certain": "frames are lost and "}[delay.lost]
    return f"That night {lost}guide frames come up to {seconds(delay.late_last_s.high)} late."


CHECK = Check(
    name="fallback-would-share-guiding",
    summary="a bad cable on the imaging camera would turn into a guiding fault",
    tested_by="`topo watch RIG` notes when its speed falls, with the time",
    explanation=__doc__,
    severities=("risk", "note"),
    find=find,
    scope="controller",
    still=still,
    glimpse=glimpse,
    cases=(
        Case(
            "guide camera on another bus",
            rig(imaging("computer/usb3-1"), guiding("computer/usb2-1"), mount("computer/usb2-2")),
            0,
        ),
        Case(
            "guide camera behind the imaging camera",
            rig(imaging("computer/usb3-1", "hub_ports: 2"), guiding("main-camera/usb2-1"), mount("computer/usb2-2")),
            1,
        ),
        Case(
            "already on USB 2: that is another finding",
            rig(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1")),
            0,
        ),
    ),
)
