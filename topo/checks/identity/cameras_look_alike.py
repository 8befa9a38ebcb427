"""Two cameras could be taken for each other by a program.

Many programs open 'the first camera' or pick one by its name, and the order changes with the socket and with what woke
up first. With two cameras of one kind, or of one maker's ids, the guide program may open the imaging camera. The size
of the first frame shows it, where the two differ in that. How a program picks can be said: `picks: serial` ends the
doubt where the camera reports a serial number of its own, `order`, `name` and `socket` do not.

A risk for two of the same kind with different jobs, a note for two of one job or of one maker's ids. Every pair is
told, the worst first.

Wrong if the program binds each camera by its serial number.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

from topo.checks.cases import BIG_CAMERA, guiding, imaging, rig
from topo.compare.cameras import betrayed
from topo.model.check import Case, Check
from topo.model.facts import value_of
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Device


def find(study: Study) -> Iterator[Finding]:
    """One finding for each pair of cameras that may be taken for each other, the worst first."""
    cameras = [part for part in study.rig.devices if part.sends_frames and part.plug is not None]
    pairs = [(one, other) for one, other in combinations(cameras, 2) if not _bound(one, other)]
    alike = [_finding(one, other, True) for one, other in pairs if _same_kind(one, other)]
    kin = [_finding(one, other, False) for one, other in pairs
           if not _same_kind(one, other) and _same_vendor(one, other)]
    yield from sorted([*alike, *kin], key=lambda finding: finding.severity != "risk")


def _same_kind(one: Device, other: Device) -> bool:
    if None not in (one.identity.product_id, other.identity.product_id):
        return (one.identity.vendor_id, one.identity.product_id) == (
            other.identity.vendor_id, other.identity.product_id)
    if one.profile is not None or other.profile is not None:
        return one.profile == other.profile
    return _size(one) == _size(other)


def _size(camera: Device) -> tuple[int | None, int | None, str | None]:
    return value_of(camera.facts.width_px), value_of(camera.facts.height_px), value_of(camera.facts.speed)


def _same_vendor(one: Device, other: Device) -> bool:
    return one.identity.vendor_id is not None and one.identity.vendor_id == other.identity.vendor_id


def _bound(one: Device, other: Device) -> bool:
    """True where both programs pick by a serial number, and the two numbers are surely not the same."""
    return one.picks == other.picks == "serial" and _serials_differ(one, other)


def _serials_differ(one: Device, other: Device) -> bool:
    """True where each surely reports a serial number of its own."""
    if None not in (one.identity.serial, other.identity.serial):
        return one.identity.serial != other.identity.serial
    return all(value_of(c.facts.has_serial_number) is True or c.identity.serial is not None for c in (one, other))


def _finding(one: Device, other: Device, same_kind: bool) -> Finding:
    why = "are of one kind" if same_kind else "carry the same maker's id"
    severity: Severity = "risk" if same_kind and one.role != other.role else "note"
    twice = one.identity.serial is not None and one.identity.serial == other.identity.serial and (
        same_kind or _same_vendor(one, other))
    at = f"lines {one.place.line} and {other.place.line}"
    lines = f" Both have one serial number in the file ({at}): a mistake in one."
    return Finding(
        name="cameras-look-alike",
        severity="risk" if twice else severity,
        certainty="certain" if twice else "possible",
        part=other.id,
        place=other.place,
        others=(one.id,),
        message=f"{plain(other.id)} and {plain(one.id)} {why}: a program that picks by name or order may take one for "
        f"the other; {betrayed(one, other) if one.role != other.role else _apart(one, other)}."
        f"{lines if twice else ''}",
        refuted_by="the program binds each camera by its serial number",
        fix=Fix(_advice(one, other)),
    )


def _apart(one: Device, other: Device) -> str:
    return "the size of the frames shows it" if _size(one)[:2] != _size(other)[:2] else "their frames are of one size"


def _advice(one: Device, other: Device) -> str:
    """By serial number only where each has one of its own."""
    if _serials_differ(one, other):
        return "Free: bind each by its serial number in its program, and say so with `picks: serial` in the file."
    if value_of(one.facts.has_serial_number) is False or value_of(other.facts.has_serial_number) is False:
        start = "one of them reports no serial number, so"
    else:
        start = "look with `topo live` whether each reports a serial number; until then"
    return (f"Free: {start} use a driver of its own for each, or start one camera's program before the other is "
            "plugged in, and look at the size of the first frame.")


NUMBERED = "picks: serial, identity: {{vendor_id: f1a0, product_id: '0260', serial: {}}}"

CHECK = Check(
    name="cameras-look-alike",
    summary="a program could take one camera for another",
    tested_by="`topo live` shows which of them report a serial number",
    explanation=__doc__,
    symptoms=("wrong camera", "program opens the wrong camera"),
    severities=("risk", "note"),
    find=find,
    scope="no-plug",
    cases=(
        Case("two different cameras", rig(imaging("computer/usb3-1"), guiding("computer/usb2-1")), 0),
        Case(
            "two of a kind, one of them guiding",
            rig(imaging("computer/usb3-1"), f"guide-camera: {{role: guiding, {BIG_CAMERA}, plug: computer/usb3-2}}"),
            1,
        ),
        Case(
            "three of a kind: every pair",
            rig(imaging("computer/usb3-1"), imaging("computer/usb3-2", name="second"),
                f"guide-camera: {{role: guiding, {BIG_CAMERA}, plug: computer/usb2-1}}"),
            3,
        ),
        Case(
            "bound by serial numbers of their own",
            rig(imaging("computer/usb3-1", NUMBERED.format("M")),
                imaging("computer/usb3-2", NUMBERED.format("N"), name="second")),
            0,
        ),
        Case(
            "one number declared for both",
            rig(imaging("computer/usb3-1", NUMBERED.format("M")),
                imaging("computer/usb3-2", NUMBERED.format("M"), name="second")),
            1,
        ),
    ),
)
