"""A camera without frame memory overflows while another camera uses its link, and the frame is lost.

Such a camera sends pixels as the sensor gives them, through a small buffer. If the link takes them more slowly, the
buffer fills in fifo / (readout - share) seconds; after that pixels have nowhere to go. You see torn, striped or
missing frames, or a time-out. A camera that holds a whole frame in memory only waits. So does one that is held up for
less time than its buffer can bridge: a poll of some bytes never overflows anything.

A fault if one other camera or stream is enough at the low, likely and high end of what computers deliver, with equal
shares, and both memory and buffer are known. Certain if it is enough even on a link that carries all that its protocol
allows, and if it is known as well what both send and which sockets share the link. A risk, and possible, if the others
have to come first for it, or if memory or buffer is not known: then buffers of 2 to 16 kB (USB 2) or 64 to 512 kB
(USB 3) are taken, from memory. One step less for a camera that is neither imaging nor guiding.

Wrong if frames are torn with the other camera unplugged too: then it is power, the cable or the camera itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import GUIDE_CAMERA, guiding, imaging, mount, rig
from topo.checks.help import fix_by
from topo.model.check import Case, Check
from topo.model.facts import Basis, Figure, basis_of, value_of
from topo.model.finding import SEVERITIES, TROUBLE, Finding, Glimpse, Later, Severity
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import AnyFinding
    from topo.model.outcome import Lost
    from topo.model.rig import Device, Part


def find(study: Study) -> Iterator[Finding]:
    """One finding for each still camera that loses frames, or may."""
    for part in study.rig.devices:
        if (lost := study.loss(part.id)) != "no":
            yield _finding(study, part, lost)


def glimpse(study: Study) -> Iterator[Glimpse]:
    """The cameras whose loss is a fault or a risk."""
    for part in study.rig.devices:
        if _severity(part, False) in TROUBLE and study.may_lose(part.id):
            severity = _severity(part, not study.plainly_loses(part.id))
            if severity in TROUBLE:
                yield Glimpse(CHECK.name, severity, part.id, _sharers(study, part.id))


def still(study: Study, finding: AnyFinding) -> bool:
    """Whether a camera loses frames still."""
    if finding.severity == "note" or _severity(study.rig.device(finding.part), True) != "note":
        return study.may_lose(finding.part)
    return study.plainly_loses(finding.part)


def _finding(study: Study, part: Device, lost: Lost) -> Finding:
    known = (("memory (frame_memory_mb)", part.facts.frame_memory_mb),
             ("buffer size (fifo_kb)", part.facts.fifo_kb))
    unknown = [name for name, fact in known if fact is None]
    said = " and ".join(unknown)
    memory = "may have" if part.facts.frame_memory_mb is None else "has"
    doubt = f" Its {said} {'are' if len(unknown) > 1 else 'is'} unknown." if unknown else ""
    if not unknown and not study.knows_links(part.id):
        doubt = " Which sockets share that link, or how they do, is not known."
    certain = lost == "certain"
    overflows = "overflows, and the frame is lost" if certain else "may overflow, and the frame is then lost"
    return Finding(
        name="frame-lost",
        severity=_severity(part, not study.plainly_loses(part.id)),
        certainty="certain" if certain else "possible",
        part=part.id,
        place=part.place,
        message=f"{plain(part.id)} {memory} no memory for a whole frame. While others use its link, the link takes "
        f"its pixels more slowly than it sends them: its buffer {overflows}.{doubt}",
        figures=Later(lambda: _figures(study, part.id)),
        others=_sharers(study, part.id),
        refuted_by="frames are torn or missing with the other camera unplugged as well",
        fix=fix_by(
            (),
            lambda after: _figures(after, part.id),
            f"Put {plain(part.id)} on another controller or USB 2 bus, or use a camera that holds a frame in memory.",
        ),
    )


def _severity(part: Part, doubtful: bool) -> Severity:
    """A fault where it is certain; a step less where not, and a step less for cameras of other roles."""
    steps = int(doubtful) + int(part.role not in ("imaging", "guiding"))
    return SEVERITIES[steps]


def _sharers(study: Study, part_id: str) -> tuple[str, ...]:
    shared = tuple(dict.fromkeys(each.other for each in study.shared if each.guide == part_id))
    if shared:
        return shared
    mine = study.flow(part_id)
    links = {use.resource for use in mine.uses} if mine else set()
    return tuple(
        flow.device
        for flow in study.traffic.flows
        if flow.device != part_id and flow.kind != "serial" and any(use.resource in links for use in flow.uses)
    )


def _figures(study: Study, part_id: str) -> tuple[Figure, ...]:
    device, part = study.device(part_id), study.rig.device(part_id)
    return tuple(
        figure
        for figure in (
            Figure("reads out", value_of(part.facts.readout_mb_per_s), "MB/s", basis_of(part.facts.readout_mb_per_s)),
            Figure("gets beside the others", device.gets_mb_per_s, "MB/s", "assumed"),
            Figure("buffer", value_of(part.facts.fifo_kb), "kB", basis_of(part.facts.fifo_kb)),
            Figure("overflows after, at the soonest", device.lost_after_s, "s", basis_of(part.facts.fifo_kb)),
            Figure("lost", device.lost, "", _basis_of_loss(part) if device.lost == "certain" else "assumed"),
        )
        if figure.value is not None
    )


def _basis_of_loss(part: Device) -> Basis:
    """What a certain loss hangs on: the camera alone, since no link carries more than its protocol allows."""
    return basis_of(part.facts.readout_mb_per_s, part.facts.frame_memory_mb, part.facts.fifo_kb)


CHECK = Check(
    name="frame-lost",
    summary="a camera without frame memory overflows while its link is shared",
    tested_by="`topo chase RIG --symptom frames-torn` finds whether sharing is to blame",
    explanation=__doc__,
    symptoms=("frames are lost", "striped frames", "torn frames", "black frames"),
    severities=("fault", "risk", "note"),
    find=find,
    scope="controller",
    still=still,
    glimpse=glimpse,
    cases=(
        Case(
            "a guide camera with memory only waits",
            rig(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1"), mount("computer/usb2-2")),
            0,
        ),
        Case(
            "a small guide camera alone on its bus",
            rig(imaging("computer/usb3-1"), guiding("computer/usb2-1", facts=GUIDE_CAMERA)),
            0,
        ),
        Case(
            "a small guide camera behind an imaging camera on USB 2",
            rig(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1", facts=GUIDE_CAMERA)),
            1,
        ),
    ),
)
