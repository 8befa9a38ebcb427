"""A serial lead is longer than its voltages carry.

RS-232 allows a load of 2,500 pF (published). At 160 pF for each metre, as multi-core cable has, that is 16 m; in
network cable, at 56 pF, 45 m (a manual computes it so). The standard means rates up to 20,000 baud; at more, less is
safe, by how much nobody says. A lead of 5 V or 3.3 V signals is no RS-232 and carries a few metres at best (common
practice, no source).

A risk past 45 m, or past 5 m at 5 V or 3.3 V; a note from 16 m up, and from half of these at more than 20,000 baud.

Wrong if the part answers without gaps for a whole night.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Device

LOAD_PF = 2500
MULTI_CORE_PF_PER_M, NETWORK_PF_PER_M = 160, 56
RATED_BAUD = 20_000
LOW_VOLTS_M = 5.0
"""Longest lead of 5 V or 3.3 V signals (common practice, no source)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each serial lead that is long."""
    for part in study.rig.devices:
        leg, length = study.topology.leg(part.id), part.cable.length_m
        if leg is None or leg.socket.kind != "serial" or length is None:
            continue
        allowed, most = limits_m(part)
        severity: Severity | None = "risk" if length.value > most else "note" if length.value > allowed else None
        if severity is not None:
            yield Finding(
                name="serial-lead-too-long",
                severity=severity,
                certainty="possible",
                part=part.id,
                place=part.place,
                message=f"The serial lead of {plain(part.id)} is {length.value:g} m long.",
                figures=(
                    Figure("length", length.value, "m", length.basis),
                    Figure("carried by most cable", allowed, "m", "profile"),
                    Figure("carried by the best", most, "m", "profile"),
                ),
                refuted_by="the part answers without gaps for a whole night",
                fix=Fix("Move the adapter to the part and bring USB or network there; or take a lower rate."),
            )


def limits_m(part: Device) -> tuple[float, float]:
    """Metres that most cable carries, and that the best does."""
    level, baud = part.serial.level, part.serial.baud
    if level is not None and level.value != "rs232":
        return LOW_VOLTS_M / 2.0, LOW_VOLTS_M
    allowed, most = LOAD_PF / MULTI_CORE_PF_PER_M, LOAD_PF / NETWORK_PF_PER_M
    return (allowed / 2.0 if baud is not None and baud.value > RATED_BAUD else allowed), most


def _mount(length_m: float, baud: int = 9600, level: str = "rs232") -> str:
    return rig(
        "adapter: {speed: full, serial_sockets: 1, plug: computer/usb2-1}",
        f"mount: {{role: mount, plug: adapter/serial-1, cable: {{length_m: {length_m:g}}}, "
        f"serial: {{baud: {baud}, level: {level}}}}}",
    )


CHECK = Check(
    name="serial-lead-too-long",
    summary="a serial lead is longer than its voltages carry",
    tested_by="`topo chase RIG --symptom mount-stalls` finds whether the lead or something else is to blame",
    explanation=__doc__,
    severities=("risk", "note"),
    symptoms=("works with a short serial lead and not with the long one",),
    find=find,
    scope="controller",
    cases=(
        Case("15 m at 9600 baud", _mount(15), 0),
        Case("60 m", _mount(60), 1),
        Case("10 m at 115200 baud", _mount(10, 115200), 1),
        Case("6 m of 5 V signals", _mount(6, level="ttl5"), 1),
    ),
)
