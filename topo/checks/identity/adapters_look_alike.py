"""Two serial devices tell no serial number, so a program knows them only by the socket they are in.

The system names a serial port by what the adapter says of itself. Two adapters of one kind without a serial number are
told apart by their socket alone: re-plug one, or start them in another order, and the mount answers where the focuser
was.

A risk for two or more of one kind.

Refuted if each keeps its name after both are unplugged and plugged in again in the other order.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.model.check import Case, Check
from topo.model.facts import value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Device


def find(study: Study) -> Iterator[Finding]:
    """One finding for each kind of adapter that is there more than once without serial numbers."""
    kinds: dict[object, list[Device]] = {}
    for part in study.rig.devices:
        nameless = value_of(part.facts.has_serial_number) is False and part.identity.serial is None
        on_usb = part.plug is not None and (leg := study.topology.leg(part.id)) is not None and leg.socket.kind == "usb"
        if nameless and on_usb and not part.sends_frames:
            kinds.setdefault(_kind(part), []).append(part)
    for parts in kinds.values():
        first = parts[0]
        names = " and ".join(plain(part.id) for part in parts)
        if len(parts) > 1:
            yield Finding(
                name="adapters-look-alike",
                severity="risk",
                certainty="possible",
                part=first.id,
                place=first.place,
                others=tuple(part.id for part in parts[1:]),
                message=f"{names} tell no serial number: a program can tell them apart by their sockets alone.",
                refuted_by="each keeps its name after both are plugged in again in the other order",
                fix=Fix(
                    "Bind them by socket (by-path names on Linux, a fixed port number on Windows) and label the "
                    "sockets; or replace one by an adapter with a serial number."
                ),
            )


def _kind(part: Device) -> object:
    identity = part.identity
    if identity.vendor_id is not None:
        return (identity.vendor_id, identity.product_id)
    return ("profile", part.profile) if part.profile else ("interface", part.interface)


ONE = "speed: full, interface: serial, has_serial_number: {}"

CHECK = Check(
    name="adapters-look-alike",
    summary="adapters without serial numbers are told apart by their sockets alone",
    explanation=__doc__,
    severities=("risk",),
    find=find,
    scope="no-plug",
    cases=(
        Case(
            "two adapters with serial numbers",
            rig(
                "a: {" + ONE.format("yes") + ", plug: computer/usb2-1}",
                "b: {" + ONE.format("yes") + ", plug: computer/usb2-2}",
            ),
            0,
        ),
        Case(
            "two without",
            rig(
                "a: {" + ONE.format("no") + ", plug: computer/usb2-1}",
                "b: {" + ONE.format("no") + ", plug: computer/usb2-2}",
            ),
            1,
        ),
    ),
)
