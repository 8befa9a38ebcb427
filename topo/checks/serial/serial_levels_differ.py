"""Two ends of a serial lead work at different voltages.

RS-232 swings to as much as 15 V either way; serial pins of small boards and of many hand-pad and guide sockets work at
5 V or 3.3 V and are destroyed by it. A plug that fits is no pinout: sockets that look like those of a network may be
serial, a guide port or a hand pad. The tool prints no pinout on purpose: use the maker's own lead.

A fault where RS-232 meets anything lower; a risk where 5 V meets 3.3 V, which some inputs can take and others don't.

Wrong if the manuals of both ends say otherwise, or if there is a converter between them that the file leaves out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Device

if TYPE_CHECKING:
    from topo.analysis.study import Study

WORDS = {"rs232": "RS-232 (up to 15 V)", "ttl5": "5 V", "ttl3": "3.3 V"}


def find(study: Study) -> Iterator[Finding]:
    """One finding for each part whose lead joins two voltages."""
    for part in study.rig.devices:
        leg = study.topology.leg(part.id)
        if leg is None or leg.socket.kind != "serial" or part.serial.level is None:
            continue
        above = study.rig.part(leg.above)
        there = above.serial.level if isinstance(above, Device) else None
        own, other = part.serial.level.value, "rs232" if above.kind == "computer" else there.value if there else None
        if other is None or other == own:
            continue
        assert part.plug is not None
        yield Finding(
            name="serial-levels-differ",
            severity="fault" if "rs232" in (own, other) else "risk",
            certainty="certain" if there is not None else "possible",
            part=part.id,
            place=part.plug.place,
            message=f"{plain(part.id)} works at {WORDS[own]} and {plain(leg.plug)} at {WORDS[other]}: "
            "joined, one can destroy the other.",
            others=(above.id,) if above.kind != "computer" else (),
            refuted_by="there is a converter between them that the file leaves out",
            fix=Fix("Pull this lead before anything is switched on. Use the lead or adapter that the device's maker "
                    "gives; a plug that fits is no proof."),
        )


def _adapter(level: str) -> str:
    return f"adapter: {{speed: full, serial_sockets: 1, plug: computer/usb2-1, serial: {{level: {level}}}}}"


MOUNT = "mount: {role: mount, plug: adapter/serial-1, serial: {baud: 9600, level: ttl5}}"

CHECK = Check(
    name="serial-levels-differ",
    summary="two ends of a serial lead work at different voltages",
    tested_by="`topo chase RIG --symptom mount-stalls` finds whether the lead or something else is to blame",
    explanation=__doc__,
    severities=("fault", "risk"),
    symptoms=("port dead after plugging in a lead",),
    find=find,
    scope="controller",
    cases=(
        Case("5 V on both ends", rig(_adapter("ttl5"), MOUNT), 0),
        Case("an RS-232 adapter on a 5 V mount", rig(_adapter("rs232"), MOUNT), 1),
        Case("a 3.3 V adapter on a 5 V mount", rig(_adapter("ttl3"), MOUNT), 1),
    ),
)
