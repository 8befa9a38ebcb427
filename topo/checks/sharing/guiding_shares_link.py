"""A guide camera shares a link with something that makes its frames late enough to be seen in the pictures.

While another frame goes down the shared link, the guide frame gets only a part of it, or waits. Which of the two
depends on who is served first, and no wiring plan can tell that. So both are computed: all get equal shares, or the
others come first. What counts is what that does to the pictures: how much wider the stars get while a shutter is
open. That is simulated over many nights, for the mount you have, or for a wide range of mounts if it is not known.
The figure is the one that 95 of 100 pictures stay below.

A fault if stars get 5 % wider even at best, or 10 % wider in every second picture as is likely, or if guide frames
never come. A risk if they get 5 % wider at worst, if a frame may come later than guiding programs wait (5 to 15 s
where the file does not say), or if one may never come. A note from 1 to 5 %. Under 1 % nothing is reported: if you
look for a fault, it is not here. (Limits: our own proposal, no source. 5 % wider along one axis costs 5 % of the
night in depth; 1 % is the scatter of star noise over two hours.)

Frames that come late while the shutter is closed cost nothing, and one late frame in a long picture costs little.
What hurts is lateness in every frame, waiting for lost ones, and frames that never come.

Wrong if late guide frames do not line up with the ends of exposures, or if they go on with the guide camera on
another controller: then look at the computer's disk and processor while it saves.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import GUIDE_CAMERA, guiding, imaging, mount, rig
from topo.checks.help import fix_by, guide_figures, star_figures
from topo.model.check import Case, Check
from topo.model.figures import percent, seconds
from topo.model.finding import TROUBLE, Finding, Glimpse, Later
from topo.model.plain import plain
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import AnyFinding, Severity
    from topo.model.night import Guided, Sentence

STREAM = (
    "planet-camera: {role: other, width_px: 1280, height_px: 960, sample_bits: 8, speed: high, readout_mb_per_s: 60, "
    "plug: computer/usb2-1, use: {mode: video}}"
)

FAR = 2.0
"""Stars that get wider by more than this many times are no stars any more: words instead of a figure."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each guide camera whose lateness shows, or may."""
    for judged in study.guided:
        if judged.severity is not None:
            yield _finding(study, judged, judged.severity)


def glimpse(study: Study) -> Iterator[Glimpse]:
    """The guide cameras whose lateness is a fault or a risk."""
    for guide in study.guides:
        severity = study.severity_on(guide)
        if severity in TROUBLE:
            yield Glimpse(CHECK.name, severity, guide, _sharers(study, guide))


def still(study: Study, finding: AnyFinding) -> bool:
    """Whether a guide camera's lateness shows still, or may, where a little tells."""
    if finding.severity == "note":
        judged = study.verdict_on(finding.part)
        return judged is not None and judged.severity is not None
    return study.is_trouble(finding.part)


def _finding(study: Study, judged: Guided, severity: Severity) -> Finding:
    guide = judged.delay.camera
    shared = [each for each in study.shared if each.guide == guide]
    others = _sharers(study, guide)
    links = dict.fromkeys(study.link_label(name) for each in shared for name in each.links)
    part = study.rig.part(guide)
    return Finding(
        name="guiding-shares-link",
        severity=severity,
        certainty=judged.certainty,
        part=guide,
        place=part.place,
        message=f"{plain(guide)} shares {_links(links)} with {listed(others)}. {_consequence(judged)}",
        figures=Later(lambda: (*guide_figures(study, guide), *star_figures(study, guide))),
        others=others,
        refuted_by="late guide frames do not line up with the ends of the other camera's exposures",
        fix=fix_by(
            (),
            lambda after: (*guide_figures(after, guide), *star_figures(after, guide)),
            "Put one of them on another controller or USB 2 bus; no free socket of this rig does that. Or set "
            "both cameras' transfer limits to half.",
        ),
    )


def _sharers(study: Study, guide: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each.other for each in study.shared if each.guide == guide))


def _consequence(judged: Guided) -> str:
    """What comes of it, in one or two sentences."""
    if judged.delay.never:
        who = "Its frames never come" if judged.delay.late_fair_s.low == math.inf else \
            "If the others are served first, its frames never come"
        return f"{who}: nothing of the link is left for it."
    worst = judged.worst
    late = f"Its frames come up to {seconds(judged.delay.late_last_s.high)} late"
    if judged.delay.always_s > 0.0:
        late += f", every one of them by up to {seconds(judged.delay.always_s)}"
    if judged.why == "time-out":
        return f"{late}, longer than guiding programs wait."
    lost = "" if judged.delay.lost == "no" else f" Some {'are' if judged.delay.lost == 'certain' else 'may be'} lost."
    return f"{late}.{lost} {_stars(worst)}"


def _stars(worst: Sentence) -> str:
    whose = "pictures" if worst.camera is None else f"the pictures of {plain(worst.camera)}"
    if not math.isfinite(worst.most) or worst.most > FAR:
        return f"Stars in {whose} may become trails."
    if worst.why == "eccentricity":
        return f"That can make stars in {whose} out of round."
    if worst.why == "spoiled":
        return f"At worst it spoils more than one in 20 of {whose}."
    if worst.severity == "note":
        return f"At worst that makes stars in {whose} {percent(worst.most)} wider: too little to see."
    return f"That can make stars in {whose} {percent(worst.most)} wider."


def _links(labels: Iterable[str]) -> str:
    """The links by the names they have in the table of links, which read as names only between quotes."""
    names = tuple(f"'{label}'" for label in labels)
    return f"the link{'s' if len(names) > 1 else ''} {listed(names)}"


CHECK = Check(
    name="guiding-shares-link",
    summary="a guide camera shares a link with something that makes its frames late enough to be seen",
    tested_by="`topo evidence RIG GUIDE-LOG FRAMES` tells whether late guide frames fall on downloads",
    explanation=__doc__,
    symptoms=("guiding jumps during downloads", "guide frames come late", "guide camera times out"),
    severities=("fault", "risk", "note"),
    find=find,
    scope="controller",
    still=still,
    glimpse=glimpse,
    cases=(
        Case(
            "each camera on its own side and controller",
            rig(imaging("computer/usb3-1"), guiding("computer/usb2-1"), mount("computer/usb2-2")),
            0,
        ),
        Case(
            "both on USB 2 behind one camera: late by a second after each picture, which no picture shows",
            rig(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1"),
                mount("computer/usb2-2", drift=0.1)),
            0,
        ),
        Case(
            "beside a stream that takes all it can get",
            rig(STREAM, imaging("computer/usb3-1"), guiding("computer/usb2-2"), mount("computer/usb3-2")),
            1,
        ),
        Case(
            "beside a mount that is polled",
            rig(imaging("computer/usb3-1"), guiding("computer/usb2-1", facts=GUIDE_CAMERA), mount("computer/usb2-2")),
            0,
        ),
        Case(
            "the imaging camera at SuperSpeed, the guide camera behind its back: separate wires",
            rig(imaging("computer/usb3-1", "hub_ports: 2"), guiding("main-camera/usb2-1"), mount("computer/usb2-2")),
            0,
        ),
    ),
)
