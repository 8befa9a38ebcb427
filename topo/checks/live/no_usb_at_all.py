"""The scan shows no USB at all: neither a controller nor anything plugged in.

A computer with USB sockets always has a controller, so this is not one part that came off. It was looked for on another
computer than the one at the telescope, or inside something that is not shown USB: a container, a virtual machine, a
sandbox. Or the controllers themselves are gone: switched off in the firmware's settings, or their driver did not load.
No part of the rig is accused.

Wrong if `topo live` on the computer at the telescope shows a controller.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.checks.scans import scan, seen
from topo.compare.align import is_usb
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix

if TYPE_CHECKING:
    from topo.model.comparison import Comparison


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding where nothing at all was seen though parts were looked for."""
    topology = comparison.declared.topology
    wanted = tuple(part for part in comparison.unseen if is_usb(topology, part))
    if comparison.scan.sightings or comparison.scan.limits.devices != "all" or not wanted:
        return
    computer = comparison.declared.rig.computer
    yield Finding(
        name="no-usb-at-all",
        severity="fault",
        certainty="possible",
        part=computer.id,
        place=computer.place,
        others=wanted,
        message="This scan shows no USB at all, not even a controller, so it says nothing of any part.",
        refuted_by="`topo live` on the computer at the telescope shows a controller",
        fix=Fix(
            "Run it on the computer at the telescope itself, not in a container, virtual machine or sandbox. If it was "
            "run there, look whether USB is switched on in the firmware's settings, and restart."
        ),
    )


CHECK = Check(
    name="no-usb-at-all",
    summary="the scan shows no USB at all, not even a controller",
    tested_by="`topo live` on the computer at the telescope, a minute later",
    explanation=__doc__,
    severities=("fault",),
    find=find,
    needs="comparison",
    cases=(
        Case("a controller and the camera", rig(guiding("computer/usb3-1")), 0, scan(seen("1-1"))),
        Case("a controller and nothing plugged in", rig(guiding("computer/usb3-1")), 0, scan()),
        Case("nothing at all", rig(guiding("computer/usb3-1")), 1, '{"format": "topo.scan.1", "when": "", '
             '"system": "linux", "kernel": null, "scanner": "made up"}'),
    ),
)
