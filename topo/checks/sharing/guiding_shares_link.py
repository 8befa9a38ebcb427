"""A guide camera shares a link with something big enough to make its frames late.

While the other camera's frame goes down the shared link, the guide frame gets only a part of it. How late it comes
depends on who is served first, which no wiring plan can tell, so three assumptions stand side by side: the host
shares fairly; the host or a driver finishes the other frame first; a camera without frame memory loses its frame
(that is the finding frame-lost). What it costs is the drift of the mount meanwhile.

It is a risk where the delay passes one guide cycle, or where the mount drifts a quarter of an arcsecond in it; else
a note. Averages have no say here: they are always tiny. (Thresholds: our own proposal, no source.)

Refuted if late guide frames do not line up with the ends of exposures, or if they go on with the guide camera on
another controller: then look at the computer's disk and processor while it saves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, imaging, mount, rig
from topo.checks.help import certainty_of, fix_by, guide_figures
from topo.model.check import Case, Check
from topo.model.finding import Certainty, Finding, Severity
from topo.model.plain import plain
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.pairs import Shared
    from topo.analysis.study import Study
    from topo.model.outcome import DeviceOutcome

HARMFUL_DRIFT_ARCSEC = 0.25
"""Drift that shows beside a good night's 0.3 to 0.8 arcsec rms of guiding error (our own proposal, no source)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each guide camera that shares a scarce link."""
    for guide in dict.fromkeys(each.guide.device for each in study.shared):
        yield _finding(study, guide, tuple(each for each in study.shared if each.guide.device == guide))


def _finding(study: Study, guide: str, shared: tuple[Shared, ...]) -> Finding:
    device = study.device(guide)
    severity, certainty = _judge(device)
    others = tuple(each.other.device for each in shared)
    links = dict.fromkeys(study.link(name).label for each in shared for name in each.links)
    part = study.rig.part(guide)
    return Finding(
        name="guiding-shares-link",
        severity=severity,
        certainty=certainty,
        part=guide,
        place=part.place,
        message=f"{plain(guide)} shares {_links(links)} with {listed(others)}. When a frame goes down there, "
        f"the guide frame comes late{_after_exposures(device)}.",
        figures=guide_figures(study, guide),
        others=others,
        refuted_by="late guide frames do not line up with the ends of the other camera's exposures",
        fix=fix_by(
            (),
            lambda after: guide_figures(after, guide),
            "Put one of them on another controller or USB 2 bus; no free socket of this rig does that. Or set "
            "both cameras' transfer limits to half.",
        ),
    )


def _judge(device: DeviceOutcome) -> tuple[Severity, Certainty]:
    """Risk where a delay passes a cycle or the harmful drift: certain if so under fair sharing at all ends."""
    fair = _harmful(device, fair=True)
    served_last = _harmful(device, fair=False)
    if not any(fair) and not any(served_last):
        return "note", "certain"
    return "risk", "certain" if certainty_of(fair) == "certain" else "possible"


def _harmful(device: DeviceOutcome, fair: bool) -> list[bool]:
    delay = device.delay_fair_s if fair else device.delay_serialised_s
    drift = device.drift_fair_arcsec if fair else device.drift_serialised_arcsec
    late = [device.cadence_s is not None and value > device.cadence_s for value in delay or ()]
    drifted = [value > HARMFUL_DRIFT_ARCSEC for value in drift or ()]
    return [a or b for a, b in zip(late, drifted or [False] * len(late), strict=True)]


def _after_exposures(device: DeviceOutcome) -> str:
    if device.overlap_chance is None:
        return ""
    if device.overlap_chance >= 0.995:
        return ", every time"
    return f", in about {device.overlap_chance:.0%} of the downloads"


def _links(labels: Iterable[str]) -> str:
    """The links by the names they have in the table of links, which read as names only between quotes."""
    names = tuple(f"'{label}'" for label in labels)
    return f"the link{'s' if len(names) > 1 else ''} {listed(names)}"


CHECK = Check(
    name="guiding-shares-link",
    summary="a guide camera shares a link with something that makes its frames late",
    explanation=__doc__,
    symptoms=("guiding jumps during downloads", "guide frames come late", "guide camera times out"),
    severities=("risk", "note"),
    find=find,
    scope="controller",
    cases=(
        Case(
            "each camera on its own side and controller",
            rig(imaging("computer/usb3-1"), guiding("computer/usb2-1"), mount("computer/usb2-2")),
            0,
        ),
        Case(
            "both on USB 2 behind one camera",
            rig(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1"), mount("computer/usb2-2")),
            1,
        ),
        Case(
            "the imaging camera at SuperSpeed, the guide camera behind its back: separate wires",
            rig(imaging("computer/usb3-1", "hub_ports: 2"), guiding("main-camera/usb2-1"), mount("computer/usb2-2")),
            0,
        ),
    ),
)
