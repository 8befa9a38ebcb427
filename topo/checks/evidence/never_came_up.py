"""A device at a place of the rig did not come up: its descriptor could not be read, it took no address, or its port was
never enabled, and it did not come up there later.

The kernel guesses at the cable ("Maybe the USB cable is bad?"); port, plug, device and power fit as well. On a
SuperSpeed side only that side is meant, and the USB 2 side of the same socket may work. A device that came up later,
as slow ones do, is no finding.

A risk, possible: what the log shows is the failing, not the reason.

Wrong if nothing was plugged in there, or a device that does not belong to the rig.
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

PORT_WORDS = {
    "descriptor-error": "its first answer was missing or broken", "address-error": "it took no address",
    "never-enabled": "the port saw it and could not be enabled", "power-cycled": "the port was power cycled",
    "gave-up": "the system gave up", "unstable": "the contact did not stay", "shut-by-hub": "the hub shut the port",
    "config-error": "the link could not be set up", "hub-unreachable": "the hub did not answer",
}


def find(held: HeldEvidence) -> Iterator[Finding]:
    """One finding for each place of the rig."""
    for woe in held.answers.ports:
        if woe.settled or woe.part is None:
            continue
        part = held.study.rig.part(woe.part)
        told = "; ".join(PORT_WORDS[kind] + (f" ({count} times)" if count > 1 else "") for kind, count in woe.kinds)
        yield Finding(
            "never-came-up", "risk", "possible", part.id, part.place, f"{plain(part.id)} did not come up: {told}.",
            tuple(Figure(PORT_WORDS[kind], count, "times", "measured") for kind, count in woe.kinds),
            "nothing of the rig was plugged in there at that time",
            Fix(f"Try {plain(part.id)} with another cable first, then in another socket."),
        )


CHECK = Check(
    name="never-came-up",
    summary="a device of the rig did not come up at its place, as a log tells",
    tested_by="`topo chase RIG --symptom not-found` finds what is to blame",
    explanation=__doc__,
    severities=("risk",),
    find=find,
    needs="evidence",
    cases=(
        Case("never again", NIGHT_RIG, 1, evidence=(logged(
            "[  800.000000] usb 3-1.1: USB disconnect, device number 3",
            "[  800.700000] usb 3-1.1: device descriptor read/64, error -71",
            "[  801.700000] usb 3-1.1: device not accepting address 9, error -71",
            "[  803.700000] usb 3-1-port1: unable to enumerate USB device"),)),
        Case("slow, and up at last", NIGHT_RIG, 0, evidence=(logged(
            "[  800.700000] usb 3-1.1: device descriptor read/64, error -71",
            "[  801.600000] usb 3-1.1: New USB device found, idVendor=3333, idProduct=1201, bcdDevice= 1.00"),)),
    ),
)
