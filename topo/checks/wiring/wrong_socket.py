"""A plug is in a socket of the wrong kind.

A serial lead does not fit a USB socket and carries no USB: a hub or camera on a serial socket can't work, and a device
that only talks over a bare serial line needs an adapter between itself and USB. A chain of parts on a serial socket
(a hub on an adapter's serial side) is the same mistake. A part that is reached over the network, or that has no data
side at all, does nothing in a USB socket: its `plug` is left out of the file.

Wrong if a look at the plug shows it somewhere else.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.model.check import Case, Check
from topo.model.facts import value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Device

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Part


def find(study: Study) -> Iterator[Finding]:
    """One finding for each part in a socket that cannot serve it."""
    for part in study.rig.parts:
        leg = study.topology.leg(part.id)
        if leg is None or part.plug is None:
            continue
        if leg.socket.kind == "usb":
            if words := _uses_no_usb(part):
                yield _elsewhere(part, words)
            continue
        if not _needs_usb(part):
            continue
        yield Finding(
            name="wrong-socket",
            severity="fault",
            certainty="certain",
            part=part.id,
            place=part.plug.place,
            message=f"{plain(part.id)} needs USB, and {plain(str(part.plug))} is a serial socket.",
            refuted_by="a look at the plug shows it somewhere else",
            fix=Fix("Plug it into a USB socket, or mend the line in the file."),
        )


def _uses_no_usb(part: Part) -> str:
    """Why a part has no use for a USB socket; empty where it may have."""
    over = value_of(part.serial.over, "usb") if isinstance(part, Device) else "usb"
    if over != "usb":
        return f"is reached over {'the network' if over == 'network' else 'Bluetooth'}"
    if part.interface == "none" and part.role in ("mount", "imaging", "guiding", "focuser", "rotator", "filter-wheel"):
        return "has no USB"
    return ""


def _elsewhere(part: Part, words: str) -> Finding:
    assert part.plug is not None
    return Finding(
        name="wrong-socket",
        severity="fault",
        certainty="certain",
        part=part.id,
        place=part.plug.place,
        message=f"{plain(part.id)} {words}, and is plugged into the USB socket {plain(str(part.plug))}.",
        refuted_by="a look at the plug shows it somewhere else",
        fix=Fix("Leave out its `plug`; or say in the file what it is connected by."),
    )


def _needs_usb(part: Part) -> bool:
    if part.kind == "hub" or part.sends_frames:
        return True
    return part.interface in ("bulk", "iso", "hid", "storage", "network", "audio")


CHECK = Check(
    name="wrong-socket",
    summary="a plug is in a socket of the wrong kind",
    explanation=__doc__,
    severities=("fault",),
    find=find,
    scope="controller",
    cases=(
        Case(
            "a mount on an adapter",
            rig(
                "adapter: {speed: full, serial_sockets: 1, plug: computer/usb2-1}",
                "mount: {role: mount, plug: adapter/serial-1, serial: {baud: 9600, polls_per_s: 1, bytes_out: 9}}",
            ),
            0,
        ),
        Case(
            "a mount on the network in a USB socket",
            rig("mount: {role: mount, interface: none, plug: computer/usb2-1}"), 1,
        ),
        Case("the same without a plug", rig("mount: {role: mount, interface: none}"), 0),
        Case(
            "a camera on an adapter",
            rig("adapter: {speed: full, serial_sockets: 1, plug: computer/usb2-1}", imaging("adapter/serial-1")),
            1,
        ),
    ),
)
