"""A part that programs talk to through a serial port has none.

The adapter is plugged in and seen, but no driver made a port of it: there is no driver for it, or a program took the
device away from its driver (`usbfs` in its place). A service that looks for Braille displays does so by ids that common
adapters have, within a second of the plug; a program that talks to the chip itself does too.

A fault for the mount, a risk for others. Certain where the system says which driver has the device.

Wrong if its program connects.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import KNOWN_MOUNT, rig
from topo.checks.scans import adapter, held, interface, scan, tty
from topo.compare.ports import has_port
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.comparison import Comparison, Match
    from topo.model.sighting import Sighting

TAKEN = "usbfs"
"""The driver's name of a device, or an interface of it, that a program has taken."""


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each part that is there and has no serial port."""
    if comparison.scan.limits.serial_ports != "all":
        return
    ports = {port.device for port in comparison.scan.serial_ports}
    for match in comparison.matches:
        own = match.own
        unsure = match.by == "kind" and (match.or_things or match.or_parts)
        if own is None or unsure or not has_port(comparison.declared.rig.part(match.part)):
            continue
        if own.id not in ports and match.thing.word in ("serial", "device"):
            yield _finding(comparison, match, own)


def _finding(comparison: Comparison, match: Match, own: Sighting) -> Finding:
    part = comparison.declared.rig.part(match.part)
    drivers = {one.driver for one in own.interfaces}
    told = comparison.scan.system.lower() == "linux" and bool(own.interfaces) and (
        comparison.scan.limits.classes == "all")
    behind = tuple(c for c in comparison.declared.topology.below(part.id))
    mount = any(comparison.declared.rig.part(name).role == "mount" for name in (part.id, *behind))
    why, advice = _why(comparison, own, drivers, told)
    return Finding(
        name="no-serial-port",
        severity="fault" if mount else "risk",
        certainty="certain" if told and match.by == "identity" else "possible",
        part=part.id,
        place=part.place,
        others=behind,
        message=f"{plain(part.id)} is plugged in but has no serial port: {why}.",
        refuted_by="its program connects",
        fix=Fix(advice),
    )


def _why(comparison: Comparison, own: Sighting, drivers: set[str | None], told: bool) -> tuple[str, str]:
    if TAKEN in drivers:
        who = _who(comparison, own)
        return (f"a program took it from its driver{f' ({who})' if who else ''}",
                f"First, free: end {who or 'the program or service that has it'}, unplug the adapter and plug it in "
                "again. A service for Braille displays does this; `topo explain may-be-probed` says how to stop it.")
    if told and drivers <= {None}:
        return ("no driver has it",
                "First, free: unplug it and plug it in again, and read the last lines of the system's log. If nothing "
                "takes it, its driver is not installed; another adapter with a common chip needs none.")
    if told:
        names = listed(sorted(name for name in drivers if name))
        return f"its driver is {names}", "Look whether it is the right device, and whether it has a serial mode to set."
    return ("the system made no port of it",
            "First, free: unplug it and plug it in again; then look in the system's list of devices for one without a "
            "driver.")


def _who(comparison: Comparison, own: Sighting) -> str:
    """Short names of programs that have the device itself open."""
    if comparison.scan.holding is None or own.devnum is None:
        return ""
    node = f"/dev/bus/usb/{own.bus:03d}/{own.devnum:03d}"
    names = [h.program for h in comparison.scan.holding.holders if h.name == node and h.program and not h.gone]
    return listed(sorted(dict.fromkeys(names)))




CHECK = Check(
    name="no-serial-port",
    summary="a part that programs talk to through a serial port has none",
    tested_by="`topo compare RIG` again, once its plug was out and in",
    explanation=__doc__,
    symptoms=("port is gone", "no serial port", "port vanishes a second after plugging", "adapter not recognised"),
    severities=("fault", "risk"),
    find=find,
    needs="comparison",
    cases=(
        Case("it has one", rig(KNOWN_MOUNT), 0, scan(adapter("3-1"), serial_ports=[tty(0, "3-1")])),
        Case("no driver", rig(KNOWN_MOUNT), 1, scan(adapter("3-1", interfaces=[interface(0xFF, "bulk")]))),
        Case("taken by a program", rig(KNOWN_MOUNT), 1,
             scan(adapter("3-1", devnum=4, interfaces=[interface(0xFF, "bulk", "usbfs")]),
                  holding=held({"name": "/dev/bus/usb/003/004", "how": "open", "program": "reader"}))),
        Case("a listing that tells no ports", rig(KNOWN_MOUNT), 0,
             scan(adapter("3-1"), limits={"serial_ports": "none"})),
        Case("no driver, and no ids in the file", rig(KNOWN_MOUNT.partition(", identity")[0] + "}"), 1,
             scan(adapter("3-1", interfaces=[interface(0xFF, "bulk")]))),
        Case("a wheel that has none", rig("wheel: {role: filter-wheel, interface: hid, plug: computer/usb2-1}"), 0,
             scan(adapter("3-1", interfaces=[interface(3, "interrupt", "usbhid")]))),
    ),
)
