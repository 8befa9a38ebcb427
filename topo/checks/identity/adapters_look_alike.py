"""Serial adapters that a program may not be able to tell apart.

The system names a serial port by what its adapter says of itself. Two that say the same are told apart by their
sockets alone: plug them in another way, or start in another order, and the mount answers where the focuser was. They
say the same if they are of one kind and report no serial number. Where the file has no ids, two serial devices may
have the same bridge chip inside, whatever their makers: that counts as possible, and so does a serial number that
nobody told.

One serial number declared for two of them is a mistake of the file, or the number of a cheap kind that has the same
in every piece: no name by id tells these two apart either.

A risk. Not told where each program opens a name of its own that lasts (`opens`, by id or by place, or a COM number).

Wrong if each keeps its name after both are unplugged and plugged in again in the other order.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.help import joined_groups
from topo.model.check import Case, Check
from topo.model.facts import basis_of, value_of
from topo.model.finding import Finding, Fix
from topo.wiring.lasting import canonical, kind_of_name
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Device

LASTING = ("by-id", "by-path", "own", "com", "callout")
"""Kinds of names that stay with a part, or with its socket."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each group of adapters that may look alike, and one for each serial number declared twice."""
    adapters = [part for part in study.rig.devices if _has_name(study, part)]
    for part in adapters:
        same = [other for other in adapters if _same_number(part, other)]
        if len(same) > 1 and same[0] is part:
            yield _declared_twice(same)
    for group in joined_groups(adapters, _may_look_alike):
        yield _alike(group)


def _has_name(study: Study, part: Device) -> bool:
    """True for a device on USB whose name a program uses: no camera, no disk, no network.

    What only USB serves counts in any socket: one that is not USB is the wrong one, and moving the plug into the right
    one is no reason for the finding. A serial line stays in sockets of its kind."""
    leg = study.topology.leg(part.id) if part.plug is not None else None
    if leg is None or part.sends_frames:
        return False
    if leg.socket.kind != "usb" and part.interface not in ("hid", "bulk"):
        return False
    if part.interface is None:
        return part.has_serial_line or part.opens is not None or value_of(part.facts.has_serial_number) is False
    return part.interface in ("serial", "hid", "bulk")


def _same_number(one: Device, other: Device) -> bool:
    serial = one.identity.serial
    return serial is not None and serial == other.identity.serial and not _other_ids(one, other)


def _other_ids(one: Device, other: Device) -> bool:
    """True where the ids of the file contradict each other."""
    pairs = ((one.identity.vendor_id, other.identity.vendor_id), (one.identity.product_id, other.identity.product_id))
    return any(None not in pair and pair[0] != pair[1] for pair in pairs)


def _may_look_alike(one: Device, other: Device) -> bool:
    if _other_ids(one, other) or _bound(one, other) or _same_number(one, other):
        return False
    told = [_tells_number(one), _tells_number(other)]
    if True in told:  # with a number on one side the two say different things, unless both tell the same one
        return False
    if None not in (one.identity.product_id, other.identity.product_id):
        return True
    if one.profile is not None and one.profile == other.profile:
        return True
    if value_of(one.facts.has_serial_number) is False and value_of(other.facts.has_serial_number) is False:
        return one.interface == other.interface
    return "serial" in (one.interface, other.interface) and {one.interface, other.interface} <= {"serial", None}


def _tells_number(part: Device) -> bool | None:
    return True if part.identity.serial is not None else value_of(part.facts.has_serial_number)


def _bound(one: Device, other: Device) -> bool:
    """True where both programs open lasting names, and not the same."""
    names = [canonical(part.opens) for part in (one, other) if part.opens is not None]
    return len(set(names)) == 2 and all(kind_of_name(name) in LASTING for name in names)


def _declared_twice(parts: list[Device]) -> Finding:
    lines = listed([f"{part.id} (line {part.place.line})" for part in parts])
    return Finding(
        name="adapters-look-alike",
        severity="risk",
        certainty="certain",
        part=parts[0].id,
        place=parts[0].place,
        others=tuple(part.id for part in parts[1:]),
        message=f"{lines} have the same serial number in the file: a mistake in one of these lines, or a kind of "
        "adapter that tells the same number in every piece.",
        refuted_by="`topo live` shows one serial number for both",
        fix=Fix("First, free: look with `topo live` which number each tells, and correct the line. If they tell the "
                "same, bind by socket (by-path names on Linux, a fixed port number on Windows) and label the sockets."),
    )


def _alike(parts: list[Device]) -> Finding:
    sure = all(value_of(part.facts.has_serial_number) is False for part in parts)
    declared = all(basis_of(part.facts.has_serial_number) in ("declared", "measured") for part in parts)
    one_kind = len({(part.identity.vendor_id, part.identity.product_id) for part in parts}) == 1 and (
        parts[0].identity.product_id is not None)
    what = "report no serial number" if sure else "may report no serial number"
    kind = "" if one_kind else " and may have the same chip inside"
    return Finding(
        name="adapters-look-alike",
        severity="risk",
        certainty="certain" if sure and declared and one_kind else "possible",
        part=parts[0].id,
        place=parts[0].place,
        others=tuple(part.id for part in parts[1:]),
        message=f"{listed([part.id for part in parts])} {what}{kind}: then a program can tell them apart by their "
        "sockets alone.",
        refuted_by="each keeps its name after both are plugged in again in the other order",
        fix=Fix(
            "First, free: let each program open its port by socket (a by-path name on Linux, a fixed port number on "
            "Windows); `topo names` shows the names. Write them into `opens`, and label the sockets. Or look with "
            "`topo live` whether they report serial numbers; or replace one by an adapter that does."
        ),
    )


ONE = "speed: full, interface: serial, has_serial_number: {}"
UNTOLD = "speed: full, interface: serial"
OWN_IDS = "identity: {{vendor_id: f1a0, product_id: '{}'{}}}"

CHECK = Check(
    name="adapters-look-alike",
    summary="serial adapters that a program may not be able to tell apart",
    tested_by="`topo live` shows which of them report a serial number",
    explanation=__doc__,
    symptoms=("wrong device answers", "mount and focuser swapped", "port number changes"),
    severities=("risk",),
    find=find,
    scope="no-plug",
    cases=(
        Case("two adapters with serial numbers", rig(
            "a: {" + ONE.format("yes") + ", plug: computer/usb2-1}",
            "b: {" + ONE.format("yes") + ", plug: computer/usb2-2}"), 0),
        Case("two without", rig(
            "a: {" + ONE.format("no") + ", plug: computer/usb2-1}",
            "b: {" + ONE.format("no") + ", plug: computer/usb2-2}"), 1),
        Case("nobody told", rig(
            "a: {" + UNTOLD + ", plug: computer/usb2-1}", "b: {" + UNTOLD + ", plug: computer/usb2-2}"), 1),
        Case("three, one of them with a number", rig(
            "a: {" + UNTOLD + ", plug: computer/usb2-1}", "b: {" + ONE.format("yes") + ", plug: computer/usb2-2}",
            "c: {" + ONE.format("no") + ", plug: computer/usb3-1}"), 1),
        Case("other ids", rig(
            "a: {" + UNTOLD + ", " + OWN_IDS.format("0001", "") + ", plug: computer/usb2-1}",
            "b: {" + UNTOLD + ", " + OWN_IDS.format("0002", "") + ", plug: computer/usb2-2}"), 0),
        Case("one number declared twice", rig(
            "a: {" + UNTOLD + ", " + OWN_IDS.format("0001", ", serial: A1") + ", plug: computer/usb2-1}",
            "b: {" + UNTOLD + ", " + OWN_IDS.format("0001", ", serial: A1") + ", plug: computer/usb2-2}"), 1),
        Case("bound by place", rig(
            "a: {" + UNTOLD + ", opens: /dev/serial/by-path/one, plug: computer/usb2-1}",
            "b: {" + UNTOLD + ", opens: /dev/serial/by-path/two, plug: computer/usb2-2}"), 0),
        Case("bound by numbers that change", rig(
            "a: {" + UNTOLD + ", opens: /dev/ttyUSB0, plug: computer/usb2-1}",
            "b: {" + UNTOLD + ", opens: /dev/ttyUSB1, plug: computer/usb2-2}"), 1),
    ),
)
