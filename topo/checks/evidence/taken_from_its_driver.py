"""A program took a part's adapter away from its driver, as a log tells.

The serial port then vanishes about a second after it came up. A service that looks for Braille displays does so by ids
that common adapters have too.

A fault for the mount, a risk for others; certain, since the kernel names the program.

Wrong if that program is the part's own and talks to the device without a serial port.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.evidence_cases import NIGHT_RIG, logged
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.answers import HeldEvidence


def find(held: HeldEvidence) -> Iterator[Finding]:
    """One finding for each part and program."""
    for told in held.answers.taken:
        if told.part is None:
            continue
        part = held.study.rig.part(told.part)
        yield Finding(
            "taken-from-its-driver", "fault" if part.role == "mount" else "risk", "certain", part.id, part.place,
            f"{plain(told.program)} took {plain(part.id)} away from its driver {plain(told.driver)}: its serial port "
            "was gone then.",
            (Figure("taken", told.count, "times", "measured"),),
            f"{plain(told.program)} is the program that talks to {plain(part.id)}",
            Fix(f"First, free: stop {plain(told.program)} for tonight and plug the adapter in again; disable it for "
                "good where nobody needs it (`topo explain may-be-probed`)."),
        )


CHECK = Check(
    name="taken-from-its-driver",
    summary="a program took a part's adapter away from its driver, as a log tells",
    explanation=__doc__,
    symptoms=("port is gone", "port vanishes a second after plugging"),
    severities=("fault", "risk"),
    find=find,
    needs="evidence",
    cases=(
        Case("a service set it up", NIGHT_RIG, 1, evidence=(logged(
            "[    3.300000] usb 3-1.2: usbfs: interface 0 claimed by cdc_acm while 'brltty' sets config #1"),)),
        Case("nobody did", NIGHT_RIG, 0, evidence=(logged(
            "[    2.300000] usb 3-1.2: Common USB serial converter now attached to ttyUSB0"),)),
    ),
)
