"""The program of one camera would take another, as they are plugged in now or after a restart.

A program that picks by a place in a list, or by a name that two have, depends on the order in which cameras are listed.
Computed here: the list as they came up and the list by place, now; and every order a restart can bring. How the program
picks stands in the file as `picks` and `picks_number`. The size of the frames shows a wrong pick at once.

A fault where it surely takes another camera now, a risk where it may, a note where only a restart can bring it.

Wrong if the program shows frames of its own camera's size.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, imaging, rig
from topo.checks.scans import BOS, scan, seen
from topo.compare.cameras import Taken, betrayed, cameras_of, takes
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.rig import Device


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each camera whose program may take another one."""
    for camera in cameras_of(comparison):
        told = takes(comparison, camera)
        if told is not None and {*told.now, *told.after_restart} - {camera.id}:
            yield _finding(comparison, camera, told)


def _finding(comparison: Comparison, camera: Device, told: Taken) -> Finding:
    now = [name for name in told.now if name != camera.id]
    later = [name for name in told.after_restart if name != camera.id]
    wrong = now or later
    severity: Severity = "note" if not now else "risk" if camera.id in told.now else "fault"
    when = {"fault": "would take", "risk": "may take", "note": "may, after a restart, take"}[severity]
    device = comparison.declared.rig.device
    return Finding(
        name="another-camera-taken",
        severity=severity,
        certainty="possible",
        part=camera.id,
        place=camera.place,
        others=tuple(dict.fromkeys(wrong)),
        message=f"The program of {plain(camera.id)}, which picks by {_how(camera)}, {when} {listed(wrong)}: "
        f"{betrayed(camera, device(wrong[0]))}.",
        refuted_by=f"the program of {plain(camera.id)} shows frames of its own size",
        fix=Fix(_advice(comparison, camera, told, wrong)),
    )


def _how(camera: Device) -> str:
    words = {"order": f"place {camera.picks_number or 1} in a list", "name": "name", "serial": "serial number",
             "socket": "socket"}
    return words[camera.picks or "order"]


def _advice(comparison: Comparison, camera: Device, told: Taken, wrong: list[str]) -> str:
    serials = [_serial(comparison, name) for name in (camera.id, *wrong)]
    if None not in serials and len(set(serials)) == len(serials):
        return "Free: pick it by its serial number in the program; each of these tells one of its own."
    if told.number is not None and told.number != (camera.picks_number or 1):
        return (f"Free: choose place {told.number} of the list in its program and write it into `picks_number`: that "
                "place is its own now and after a restart (computed). Then look at the size of the first frame.")
    exchange = ""
    if told.exchange is not None:
        exchange = (f", or exchange the sockets of {plain(camera.id)} and {plain(told.exchange)}: by place it then "
                    "takes the right one (computed)")
    return ("Free: use a driver of its own for each camera, or start one camera's program before the other is plugged "
            f"in{exchange}. Then look at the size of the first frame.")


def _serial(comparison: Comparison, name: str) -> str | None:
    match = comparison.match(name)
    return match.own.serial if match is not None and match.own is not None else None


TWO = rig(imaging("computer/usb3-1", "picks: order, picks_number: 1"), guiding("computer/usb3-2", "picks: order",
          "picks_number: 2"))
MAIN_SEEN = {"product_id": "0260", "could_mbit": BOS}

CHECK = Check(
    name="another-camera-taken",
    summary="the program of one camera would take another",
    explanation=__doc__,
    symptoms=("wrong camera", "program opens the wrong camera", "guide program shows the imaging camera"),
    severities=("fault", "risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("how they pick is not told", rig(imaging("computer/usb3-1"), guiding("computer/usb3-2")), 0,
             scan(seen("2-1", 5000, **MAIN_SEEN), seen("1-2"))),
        Case("the guide camera comes first in the list", TWO, 2,
             scan(seen("2-1", 5000, **MAIN_SEEN), seen("1-2"))),
        Case("each with another maker's ids", TWO, 0,
             scan(seen("2-1", 5000, vendor_id="f1b0", **MAIN_SEEN), seen("1-2"))),
        Case("by serial numbers of their own", TWO.replace("picks: order", "picks: serial"), 0,
             scan(seen("2-1", 5000, serial="M", **MAIN_SEEN), seen("1-2", serial="G"))),
    ),
)
