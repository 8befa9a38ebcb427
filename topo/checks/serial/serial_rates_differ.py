"""Two ends of a serial line are set to different rates, or to different framing.

Both ends sample each bit by their own clock, from the edge of the start bit on; the last of ten bits comes wrong once
the clocks are half a bit apart there: 5.3 % at the ideal, 4.5 % together in makers' tables (2 % each). A part of 115200
baud on a line of 9600 is far outside, and so is one with another parity. That never works, from the first contact on:
a link that works and then fails is no matter of rates.

Wrong if the part ever answered on this line as it is set now.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.model.change import Proposal, SetSerial
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Device

if TYPE_CHECKING:
    from topo.analysis.study import Study

APART = 0.045
"""Rates that differ by less are told apart by nobody (published: makers' tables for 8 bits)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each part that cannot understand the one it is on the line with."""
    for line in study.traffic.lines:
        ends = [end for name in (*_adapter(study, line.parts[0]), *line.parts)
                if isinstance(end := study.rig.part(name), Device)]
        for part in ends[1:]:
            other = next((end for end in ends if end is not part and _differ(end, part)), None)
            if other is not None:
                yield _finding(part, other)
                break


def _adapter(study: Study, part: str) -> tuple[str, ...]:
    leg = study.topology.leg(part)
    return (leg.above,) if leg is not None and leg.socket.kind == "serial" else ()


def _differ(one: Device, other: Device) -> bool:
    a, b = one.serial, other.serial
    if a.baud is not None and b.baud is not None and abs(a.baud.value / b.baud.value - 1.0) > APART:
        return True
    return a.framing is not None and b.framing is not None and a.framing.value != b.framing.value


def _finding(part: Device, other: Device) -> Finding:
    offers: tuple[Proposal, ...] = ()
    one, two = part.serial.baud, other.serial.baud
    if one is not None and two is not None and one.value != two.value:
        offers = (
            Proposal((SetSerial(part.id, "baud", two.value),)), Proposal((SetSerial(other.id, "baud", one.value),))
        )
    return Finding(
        name="serial-rates-differ",
        severity="fault",
        certainty="certain",
        part=part.id,
        place=part.place,
        message=f"{plain(part.id)} talks at {_said(part)} and {plain(other.id)}, on the same line, at {_said(other)}.",
        figures=tuple(Figure(f"rate of {end.id}", end.serial.baud.value, "baud", end.serial.baud.basis)
                      for end in (part, other) if end.serial.baud is not None),
        others=(other.id,),
        refuted_by="the part ever answered on this line as it is set now",
        fix=Fix("Set both to the same rate and framing; which one a device takes stands in its manual.", offers),
    )


def _said(part: Device) -> str:
    baud = "" if part.serial.baud is None else f"{part.serial.baud.value} baud"
    framing = "" if part.serial.framing is None else str(part.serial.framing.value)
    return " ".join(word for word in (baud, framing) if word)


ADAPTER = "adapter: {speed: full, serial_sockets: 1, plug: computer/usb2-1, serial: {baud: 9600}}"


def _focuser(serial: str) -> str:
    return f"focuser: {{role: focuser, plug: adapter/serial-1, serial: {{{serial}}}}}"


CHECK = Check(
    name="serial-rates-differ",
    summary="two ends of a serial line are set to different rates",
    explanation=__doc__,
    severities=("fault",),
    symptoms=("never answers", "serial read time-out from the first second"),
    find=find,
    scope="controller",
    cases=(
        Case("both at 9600", rig(ADAPTER, _focuser("baud: 9600")), 0),
        Case("2 % apart, as clocks are", rig(ADAPTER, _focuser("baud: 9790")), 0),
        Case("115200 on a line of 9600", rig(ADAPTER, _focuser("baud: 115200")), 1),
    ),
)
