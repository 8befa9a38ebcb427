"""The person who scanned may not open the port of a part.

A port belongs to root and a group; who is not in that group gets 'permission denied', which some programs show as 'no
device found'. Read here are the group and the permissions of the port, nothing is opened.

A risk: programs may run as somebody else.

Wrong if the program runs as another user, and connects.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import KNOWN_MOUNT, rig
from topo.checks.scans import adapter, scan, tty
from topo.compare.ports import live_ports
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.compare.ports import LivePort
    from topo.model.comparison import Comparison

GROUP_BITS = 0o060


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each group of ports that may not be opened."""
    groups: dict[tuple[str | None, int | None], list[LivePort]] = {}
    for each in live_ports(comparison):
        if each.part is not None and each.port.allowed is False:
            groups.setdefault((each.port.group, each.port.mode), []).append(each)
    for (group, mode), ports in groups.items():
        yield _finding(comparison, group, mode, ports)


def _finding(comparison: Comparison, group: str | None, mode: int | None, ports: list[LivePort]) -> Finding:
    names = list(dict.fromkeys(each.part for each in ports if each.part is not None))
    part = comparison.declared.rig.part(names[0])
    whose = f"the group {plain(group, 64)}" if group else "a group that has no name here"
    bits = "" if mode is None else f" ({mode & 0o777:03o})"
    return Finding(
        name="not-allowed",
        severity="risk",
        certainty="possible",
        part=part.id,
        place=part.place,
        others=tuple(names[1:]),
        message=f"You may not open the port of {listed(names)}: it belongs to {whose}{bits}, and you are not let in.",
        refuted_by="the program runs as another user, and connects",
        fix=Fix(_advice(group, mode)),
    )


def _advice(group: str | None, mode: int | None) -> str:
    if group and group != "root" and (mode is None or mode & GROUP_BITS == GROUP_BITS):
        return (f"Free: `sudo usermod -aG {plain(group, 64)} $USER`, then log out and in again (an administrator has "
                "to do it once).")
    return ("Free: a line of a udev rule that gives the port to a group you are in, for instance "
            'SUBSYSTEM=="tty", ENV{ID_BUS}=="usb", GROUP="dialout", MODE="0660".')



CHECK = Check(
    name="not-allowed",
    summary="you may not open the port of a part",
    explanation=__doc__,
    symptoms=("permission denied", "access denied", "no device found", "cannot open port"),
    severities=("risk",),
    find=find,
    needs="comparison",
    cases=(
        Case("let in", rig(KNOWN_MOUNT), 0,
             scan(adapter("3-1"), serial_ports=[tty(0, "3-1", group="dialout", mode=0o660, allowed=True)])),
        Case("not let in", rig(KNOWN_MOUNT), 1,
             scan(adapter("3-1"), serial_ports=[tty(0, "3-1", group="dialout", mode=0o660, allowed=False)])),
        Case("not told", rig(KNOWN_MOUNT), 0, scan(adapter("3-1"), serial_ports=[tty(0, "3-1")])),
    ),
)
