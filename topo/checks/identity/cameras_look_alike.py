"""Cameras that a program could take for each other.

Many programs open 'the first camera' or pick one by its name, and the order changes with the socket and with what woke
up first. With two cameras of one kind, or of one maker's ids, the guide program may open the imaging camera. The size
of the first frame shows it, where the two differ in that. How a program picks can be said: `picks: serial` ends the
doubt where the camera reports a serial number of its own, `order`, `name` and `socket` do not.

A risk for cameras of one kind with different jobs, a note for those of one job or of one maker's ids. All cameras of a
kind are one finding, and so are those with one serial number in the file, which is a mistake there.

Wrong if the program binds each camera by its serial number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations
from typing import TYPE_CHECKING

from topo.checks.cases import BIG_CAMERA, guiding, imaging, rig
from topo.checks.help import joined_groups
from topo.compare.cameras import betrayed, frame_words
from topo.model.check import Case, Check
from topo.model.facts import value_of
from topo.model.finding import Finding, Fix
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Device


def find(study: Study) -> Iterator[Finding]:
    """One finding for the cameras of each kind, maker and serial number that may be taken for each other, the worst
    first."""
    cameras = [part for part in study.rig.devices if part.sends_frames and part.plug is not None]
    found = [_finding(group, why, alike) for why, alike in (
        ("twice", _one_number), ("are of one kind", _one_kind), ("carry the same maker's id", _one_maker))
        for group in joined_groups(cameras, alike)]
    yield from sorted(found, key=lambda finding: finding.severity != "risk")


def _one_number(one: Device, other: Device) -> bool:
    """True where the file gives two that could be meant for one another the same serial number."""
    return one.identity.serial is not None and one.identity.serial == other.identity.serial and (
        _same_kind(one, other) or _same_vendor(one, other))


def _one_kind(one: Device, other: Device) -> bool:
    return _same_kind(one, other) and not _bound(one, other) and not _one_number(one, other)


def _one_maker(one: Device, other: Device) -> bool:
    return _same_vendor(one, other) and not _same_kind(one, other) and not _bound(one, other) and not _one_number(
        one, other)


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


def _finding(group: Sequence[Device], why: str, alike: Callable[[Device, Device], bool]) -> Finding:
    """The finding of a group; its part is the one that comes last in the file."""
    *first, last = group
    pairs = [(one, other) for one, other in combinations(group, 2) if alike(one, other)]
    twice = why == "twice"
    if twice:
        why = "are of one kind" if all(_same_kind(*pair) for pair in pairs) else "carry the same maker's id"
    roles = any(one.role != other.role for one, other in pairs)
    risk = twice or any(_same_kind(one, other) and one.role != other.role for one, other in pairs)
    return Finding(
        name="cameras-look-alike",
        severity="risk" if risk else "note",
        certainty="certain" if twice else "possible",
        part=last.id,
        place=last.place,
        others=tuple(part.id for part in first),
        message=f"{listed([last.id, *(part.id for part in first)])} {why}: a program that picks by name or order may "
        f"take one for {'the other' if len(group) == 2 else 'another'}; {_shown(group, roles)}."
        f"{_mistake(group) if twice else ''}",
        refuted_by="the program binds each camera by its serial number",
        fix=Fix(_advice(group)),
    )


def _mistake(group: Sequence[Device]) -> str:
    lines = listed([str(part.place.line) for part in group])
    who, wrong = ("Both", "one") if len(group) == 2 else ("All", "all but one")
    return f" {who} have one serial number in the file (lines {lines}): a mistake in {wrong}."


def _shown(group: Sequence[Device], roles: bool) -> str:
    """What shows that the wrong one was taken."""
    if len(group) == 2 and roles:
        return betrayed(*group)
    sizes = [frame_words(part) for part in group]
    if len(set(sizes)) == len(sizes) and None not in sizes:
        return "the size of the frames shows it"
    whose = "their frames" if len(set(sizes)) == 1 else "the frames of some"
    return f"{whose} are of one size" + (": cover one lens and see whose picture goes dark" if roles else "")


def _advice(group: Sequence[Device]) -> str:
    """By serial number only where each has one of its own."""
    if all(_serials_differ(*pair) for pair in combinations(group, 2)):
        return "Free: bind each by its serial number in its program, and say so with `picks: serial` in the file."
    if any(value_of(part.facts.has_serial_number) is False for part in group):
        start = "one of them reports no serial number, so"
    else:
        start = "look with `topo live` whether each reports a serial number; until then"
    apart = len({frame_words(part) for part in group}) > 1
    first = "the size of the first frame" if apart else "whose picture the first frame is"
    return (f"Free: {start} use a driver of its own for each, or start one camera's program before the other is "
            f"plugged in, and look at {first}.")


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
            "three of a kind: one finding for all",
            rig(imaging("computer/usb3-1"), imaging("computer/usb3-2", name="second"),
                f"guide-camera: {{role: guiding, {BIG_CAMERA}, plug: computer/usb2-1}}"),
            1,
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
