"""The serial port of a part got another number in the night.

An adapter that drops and comes back gets the lowest number that is free. Its old one is not, while a program still
holds it: so the part comes back under the next, and the program talks to a port that is nobody's. To the program it is
a dead mount; the cable is what to look at, and the name what to mend.

A risk, certain: the kernel's log or a watch names both.

Wrong if the program opens a name that lasts, by id or by place.
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

MOST_SHOWN_NAMES = 6


def find(held: HeldEvidence) -> Iterator[Finding]:
    """One finding for each part whose port had more than one name."""
    for told in held.answers.port_names:
        if told.part is None or len(told.names) < 2:
            continue
        part = held.study.rig.part(told.part)
        shown = ", then ".join(plain(name) for name in told.names[:MOST_SHOWN_NAMES])
        more = f" and {len(told.names) - MOST_SHOWN_NAMES} more" if len(told.names) > MOST_SHOWN_NAMES else ""
        yield Finding(
            "port-renamed-in-the-night", "risk", "certain", part.id, part.place,
            f"The port of {plain(part.id)} was {shown}{more}: a program that opened the first had to be reconnected.",
            (Figure("other names", len(told.names) - 1, "times", "measured"),),
            "its program opens a name that lasts, by id or by place",
            Fix("Free: bind its program by a name that lasts (`topo names` shows it), and reconnect it after a drop; "
                "then look why it dropped."),
        )


CHECK = Check(
    name="port-renamed-in-the-night",
    summary="the serial port of a part got another number in the night",
    explanation=__doc__,
    symptoms=("the port has another number", "port is gone after a drop", "mount does not answer after it came back"),
    severities=("risk",),
    find=find,
    needs="evidence",
    cases=(
        Case("another number after a drop", NIGHT_RIG, 1, evidence=(logged(
            "[    2.300000] usb 3-1.2: Common USB serial converter now attached to ttyUSB0",
            "[  900.000000] usb 3-1.2: USB disconnect, device number 4",
            "[  901.000000] usb 3-1.2: New USB device found, idVendor=4444, idProduct=6001, bcdDevice= 6.00",
            "[  901.200000] usb 3-1.2: Common USB serial converter now attached to ttyUSB1"),)),
        Case("the same number again", NIGHT_RIG, 0, evidence=(logged(
            "[    2.300000] usb 3-1.2: Common USB serial converter now attached to ttyUSB0",
            "[  901.200000] usb 3-1.2: Common USB serial converter now attached to ttyUSB0"),)),
    ),
)
