"""Two parts are said to be in the same socket.

One of the two plugs must be somewhere else, and every figure that depends on it is a guess until that is settled. Most
often a line was copied and its plug not changed.

Two parts on one serial socket are a note: a serial lead joins two ends, and more only where one part hands the line on
to the next (a hand controller with a second socket, say). The line's time is then shared (serial-line-busy).

Wrong if a look at the sockets shows each in one of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, imaging, rig
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Part


def find(study: Study) -> Iterator[Finding]:
    """One finding for each part that claims a socket another part before it in the file has."""
    holders: dict[tuple[str, str], str] = {}
    for part in study.rig.parts:
        if part.plug is None:
            continue
        socket = (part.plug.part, part.plug.socket)
        first = holders.setdefault(socket, part.id)
        if first != part.id:
            free = next((f"{above}/{s.name}" for above, s in study.topology.free_sockets() if above == socket[0]), None)
            here = study.rig.part(first)
            shares = part.has_serial_line and here.has_serial_line and _is_serial(study, part)
            yield Finding(
                name="socket-used-twice",
                severity="note" if shares else "fault",
                certainty="certain",
                part=part.id,
                place=part.plug.place,
                message=f"{plain(part.id)} and {plain(first)} are both in {plain(str(part.plug))}."
                + (" One of them has to hand the line on to the other." if shares else ""),
                others=(first,),
                refuted_by="a look at the sockets shows each in one of its own",
                fix=Fix(
                    "Write down which of them is really there"
                    + (f"; {plain(free)} is free." if free else "; no other socket there is free.")
                ),
            )


def _is_serial(study: Study, part: Part) -> bool:
    leg = study.topology.leg(part.id)
    return leg is not None and leg.socket.kind == "serial"


CHECK = Check(
    name="socket-used-twice",
    summary="two parts are said to be in the same socket",
    explanation=__doc__,
    severities=("fault", "note"),
    find=find,
    scope="controller",
    cases=(
        Case("a socket each", rig(imaging("computer/usb3-1"), guiding("computer/usb3-2")), 0),
        Case("one socket for both", rig(imaging("computer/usb3-1"), guiding("computer/usb3-1")), 1),
    ),
)
