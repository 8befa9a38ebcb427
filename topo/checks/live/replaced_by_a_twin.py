"""Where a part should be, there is another one of its kind.

It has the vendor and product ids of the file and another serial number, or none. An adapter that was replaced by its
twin works as before, but every name made of its serial number is another one, and a program bound by that name finds
nothing. It stands in for the part here, so that its hub and its load are counted.

A risk, and always a guess: nothing tells what is at the other end of an adapter.

Wrong if the serial number in the file was copied wrongly, or the part answers on another adapter.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import FOUR_SOCKETS, rig
from topo.checks.scans import adapter, hub, scan
from topo.compare.words import where
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.comparison import Comparison, Match


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each part that another one of its kind stands in for."""
    for match in comparison.matches:
        if match.by == "twin":
            yield _finding(comparison, match)


def _finding(comparison: Comparison, match: Match) -> Finding:
    part = comparison.declared.rig.part(match.part)
    sides = (match.own,) if match.own is not None else match.hub_sides
    other = "another serial number" if any(side.serial for side in sides) else "no serial number"
    at = f"line {part.place.line}" if part.place.line else "the file"
    return Finding(
        name="replaced-by-a-twin",
        severity="risk",
        certainty="possible",
        part=part.id,
        place=part.place,
        message=f"{plain(part.id)} is not found; in {where(comparison, match.thing)} is one of the same kind "
        f"with {other}. It may have taken its place.",
        refuted_by="the serial number in the file was copied wrongly, or the part answers on another adapter",
        fix=Fix(f"First, free: look whether {plain(part.id)} answers on it. If it was replaced, write the new serial "
                f"number under `identity` ({at}) and choose its new name in the program (`topo names`); if not, plug "
                "the old one in again."),
    )


NUMBERED = rig("mount: {role: mount, interface: serial, plug: hub/1, "
            "identity: {vendor_id: f1a0, product_id: '0001', serial: A1}}", hubs=FOUR_SOCKETS)

CHECK = Check(
    name="replaced-by-a-twin",
    summary="another one of the same kind is where a part should be",
    tested_by="`topo live` with that one unplugged shows which is gone",
    explanation=__doc__,
    symptoms=("a new adapter is not found", "replaced the adapter and the program finds nothing"),
    severities=("risk",),
    find=find,
    needs="comparison",
    cases=(
        Case("the part itself", NUMBERED, 0, scan(hub("3-1"), adapter("3-1.1", serial="A1"))),
        Case("its twin", NUMBERED, 1, scan(hub("3-1"), adapter("3-1.1", serial="B7"))),
        Case("one without a serial number", NUMBERED, 1, scan(hub("3-1"), adapter("3-1.1"))),
        Case("a listing that reports no serial numbers", NUMBERED, 0,
             scan(hub("3-1"), adapter("3-1.1"), limits={"serials": "none"})),
        Case("the part in another socket beside a twin in its own", NUMBERED, 0,
             scan(hub("3-1"), adapter("3-1.1", serial="B7"), adapter("3-1.2", serial="A1"))),
    ),
)
