"""More bandwidth is reserved on a USB 2 bus than USB allows, so the last device to start is refused.

Video-class cameras and sound devices reserve their share of every microframe before they start (isochronous and
interrupt transfers). Together they may take 80 % of it (USB 2.0 5.6.4, 5.7.4); the device that would pass that is told
'not enough bandwidth' and does not start, however little of it is used. Which one that is depends on who came first.
Cameras of the bulk kind reserve nothing, so the system never refuses them; they get in each other's way instead.

A fault: it works singly and fails together.

Wrong if all of them stream at once.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.help import fix_by
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.usb.limits import HIGH_SPEED_PERIODIC_SHARE

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.outcome import LinkOutcome


def find(study: Study) -> Iterator[Finding]:
    """One finding for each USB 2 bus on which more is reserved than may be."""
    over = {each.id for each in study.traffic.resources
            if each.kind == "usb2-bus" and each.reserved > HIGH_SPEED_PERIODIC_SHARE}
    for link in study.links if over else ():
        if link.id in over:
            yield _finding(study, link)


def _reserving(study: Study, link: LinkOutcome) -> list[str]:
    """Devices on the bus that reserve, in the order of the file."""
    return [
        part.id
        for part in study.rig.devices
        if (part.facts.iso_bytes_per_ms is not None or part.facts.interrupt_bytes is not None)
        and (speed := study.topology.speed(part.id)) is not None
        and not speed.is_superspeed
        and (bus := study.topology.usb2_bus(part.id)) is not None
        and bus[0] == link.id
    ]


def _over(study: Study) -> float:
    buses = (link for link in study.links if link.kind == "usb2-bus")
    return math.fsum(max(0.0, bus.reserved - HIGH_SPEED_PERIODIC_SHARE) for bus in buses)


def _figures(study: Study, link_id: str) -> tuple[Figure, ...]:
    reserved = next((link.reserved for link in study.links if link.id == link_id), 0.0)
    return (
        Figure("reserved", round(100 * reserved, 1), "% of a microframe", "profile"),
        Figure("may be reserved", round(100 * HIGH_SPEED_PERIODIC_SHARE, 1), "% of a microframe", "profile"),
    )


def _finding(study: Study, link: LinkOutcome) -> Finding:
    names = _reserving(study, link)
    last = study.rig.part(names[-1])
    return Finding(
        name="reservations-refused",
        severity="fault",
        certainty="possible" if link.basis == "assumed" else "certain",
        part=last.id,
        place=last.place,
        message=f"The devices on the {plain(link.label)} reserve more of it than USB allows: "
        "the last to start is refused.",
        figures=_figures(study, link.id),
        others=tuple(names[:-1]),
        refuted_by="all of them stream at once",
        fix=fix_by(
            (),
            lambda after: _figures(after, link.id),
            "Put one of them on another USB 2 bus, or let it stream smaller or fewer frames.",
        ),
    )


STREAM = "role: other, speed: high, interface: iso, iso_bytes_per_ms: 24576"

CHECK = Check(
    name="reservations-refused",
    summary="more bandwidth is reserved on a USB 2 bus than USB allows",
    tested_by="`topo evidence RIG KERNEL-LOG` finds where the system refused bandwidth",
    explanation=__doc__,
    severities=("fault",),
    find=find,
    scope="controller",
    cases=(
        Case("one video-class camera", rig(f"a: {{{STREAM}, plug: computer/usb2-1}}"), 0),
        Case(
            "two on one bus",
            rig(f"a: {{{STREAM}, plug: computer/usb2-1}}", f"b: {{{STREAM}, plug: computer/usb2-2}}"),
            1,
        ),
        Case(
            "two on two buses",
            rig(f"a: {{{STREAM}, plug: computer/usb2-1}}", f"b: {{{STREAM}, plug: computer/usb3-1}}"),
            0,
        ),
    ),
)
