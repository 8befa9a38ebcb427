"""A program has the port of a part open, or a lock says so.

One program at a time can talk through a serial port. Where it is the part's own program all is well; a second one gets
'port is already in use', or worse, both read and each gets half of the answers. A service that probes ports is never
the part's own program. A lock file of a program that is gone keeps some programs out for no reason.

A risk for a service, two programs on one port, or a lock file left behind; else a note. Which program is the right one
only the person knows. Where a scan was not made by root it sees open files of the person's own programs only.

Wrong if the program named is the one that should have the port.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import KNOWN_MOUNT, rig
from topo.checks.scans import adapter, held, scan, tty
from topo.compare.ports import LivePort, live_ports
from topo.model.check import Case, Check
from topo.model.finding import Certainty, Finding, Fix, Severity
from topo.model.plain import plain
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.sighting import Holder


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each part whose port somebody holds."""
    holding = comparison.scan.holding
    if holding is None:
        return
    for each in live_ports(comparison):
        holders = [h for h in holding.holders if h.name == each.port.name and not (h.gone and h.how == "open")]
        if each.part is not None and holders:
            yield _finding(comparison, each, each.part, holders)


def _finding(comparison: Comparison, each: LivePort, name: str, holders: list[Holder]) -> Finding:
    part = comparison.declared.rig.part(name)
    holding = comparison.scan.holding
    services = [s for s in holding.services if any(h.program == s[:15] for h in holders)] if holding else []
    alive = sorted({h.program or "a program that tells no name" for h in holders if not h.gone})
    stale = bool(holders) and not alive
    severity: Severity = "risk" if services or len(alive) > 1 or stale else "note"
    what = (f"a lock file of a program that is gone says that {plain(each.port.name)} is in use" if stale
            else f"{plain(each.port.name)} is held by {listed(alive)}")
    seen = "" if holding is None or holding.everyone else " Other people's programs could not be looked at."
    certainty: Certainty = "possible" if each.guessed else "certain"
    return Finding(
        name="port-held",
        severity=severity,
        certainty=certainty,
        part=part.id,
        place=part.place,
        message=f"The port of {plain(name)} is taken: {what}.{seen}",
        refuted_by="the program named is the one that should have the port",
        fix=Fix(_advice(name, alive, services, stale)),
    )


def _advice(name: str, alive: list[str], services: list[str], stale: bool) -> str:
    if stale:
        return "Free: delete the lock file below /run/lock; its program no longer runs."
    if services:
        return (f"Free: stop {listed(services)} for tonight, and connect again; `topo explain may-be-probed` says how "
                "it can be told to leave this device alone for good.")
    if len(alive) > 1:
        return f"Free: close all but the one that should talk to {plain(name)}, then connect again."
    return f"Nothing, if {listed(alive)} is the program that talks to {plain(name)}; else close it."



PORTS = [tty(0, "3-1")]
ONE = {"name": "/dev/ttyUSB0", "how": "open", "program": "planner", "process": 10}

CHECK = Check(
    name="port-held",
    summary="a program has the port of a part open",
    explanation=__doc__,
    symptoms=(
        "port in use", "port is already in use", "device or resource busy", "access denied", "cannot open port",
    ),
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("nobody", rig(KNOWN_MOUNT), 0, scan(adapter("3-1"), serial_ports=PORTS, holding=held())),
        Case("one program", rig(KNOWN_MOUNT), 1, scan(adapter("3-1"), serial_ports=PORTS, holding=held(ONE))),
        Case("another port", rig(KNOWN_MOUNT), 0,
             scan(adapter("3-1"), serial_ports=PORTS, holding=held({**ONE, "name": "/dev/ttyUSB9"}))),
        Case("a lock file left behind", rig(KNOWN_MOUNT), 1,
             scan(adapter("3-1"), serial_ports=PORTS,
                  holding=held({"name": "/dev/ttyUSB0", "how": "lock-file", "process": 9, "gone": True}))),
        Case("a name that is gone, held still", rig(KNOWN_MOUNT), 0,
             scan(adapter("3-1"), serial_ports=PORTS, holding=held({**ONE, "gone": True}))),
    ),
)
