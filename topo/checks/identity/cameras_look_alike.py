"""Two cameras could be taken for each other by a program.

Many programs open 'the first camera' or pick one by its name, and the order changes with the socket and with what woke
up first. With two cameras of one kind, or of one maker's ids, the guide program may open the imaging camera. Shown by
a wrong frame size in the program.

A risk for two of the same kind, a note for two that share a maker's id.

Refuted if the program binds each camera by its serial number.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import BIG_CAMERA, guiding, imaging, rig
from topo.model.check import Case, Check
from topo.model.facts import value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Device


def find(study: Study) -> Iterator[Finding]:
    """One finding for each later camera that looks like an earlier one with another job or the same."""
    cameras = [part for part in study.rig.devices if part.sends_frames and part.plug is not None]
    for index, part in enumerate(cameras):
        for earlier in cameras[:index]:
            same_kind = _same_kind(earlier, part)
            if same_kind or _same_vendor(earlier, part):
                yield _finding(earlier, part, same_kind)
                break


def _same_kind(one: Device, other: Device) -> bool:
    if None not in (one.identity.product_id, other.identity.product_id):
        return one.identity == other.identity or (one.identity.vendor_id, one.identity.product_id) == (
            other.identity.vendor_id,
            other.identity.product_id,
        )
    if one.profile is not None or other.profile is not None:
        return one.profile == other.profile
    return _size(one) == _size(other)


def _size(camera: Device) -> tuple[int | None, int | None, str | None]:
    return value_of(camera.facts.width_px), value_of(camera.facts.height_px), value_of(camera.facts.speed)


def _same_vendor(one: Device, other: Device) -> bool:
    return one.identity.vendor_id is not None and one.identity.vendor_id == other.identity.vendor_id


def _finding(one: Device, other: Device, same_kind: bool) -> Finding:
    why = "are of one kind" if same_kind else "carry the same maker's id"
    return Finding(
        name="cameras-look-alike",
        severity="risk" if same_kind and one.role != other.role else "note",
        certainty="possible",
        part=other.id,
        place=other.place,
        others=(one.id,),
        message=f"{plain(other.id)} and {plain(one.id)} {why}: a program that picks by name or order may take one for "
        "the other.",
        refuted_by="the program binds each camera by its serial number",
        fix=Fix(
            "Bind each by serial number where the program can; else start them in a fixed order and check the "
            "frame size."
        ),
    )


CHECK = Check(
    name="cameras-look-alike",
    summary="a program could take one camera for another",
    explanation=__doc__,
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
    ),
)
