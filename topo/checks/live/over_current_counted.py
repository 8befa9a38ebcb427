"""The system has counted over-current at a socket: more was drawn there than the socket can give.

The count runs since the system started or the hub was plugged in. It sees more than the log, which tells only what
lasts. Behind it stand a short in a cable or plug, a device that draws too much when a motor or a cooler starts, or a
hub whose supply is too small.

Wrong if the count stays as it is through a night: then it is from plugging in.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.checks.scans import port, scan, seen
from topo.compare.words import name_of
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.plugged import Thing
    from topo.model.sighting import HubPort


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each socket with a count, both sides of it taken together."""
    counted = {(p.hub, p.number): p for p in comparison.scan.ports if p.over_current_count}
    for key, one in counted.items():
        other = counted.get(one.peer) if one.peer is not None else None
        if other is None:
            yield _finding(comparison, one, one.over_current_count or 0)
        elif key < (other.hub, other.number):
            yield _finding(comparison, one, max(one.over_current_count or 0, other.over_current_count or 0))


def _finding(comparison: Comparison, at: HubPort, count: int) -> Finding:
    inside = _inside(comparison, at)
    hub = comparison.live.thing_of(at.hub)
    owner = comparison.part_of(hub.key) if hub is not None else None
    name = (comparison.part_of(inside.key) if inside is not None else None) or owner or "computer"
    part = comparison.study.rig.part(name)
    where = f"{name_of(comparison, hub)}, port {at.number}" if hub is not None else (
        f"the computer's {plain(at.hub, 40)}, port {at.number}")
    holds = f", where {name_of(comparison, inside)} is plugged in" if inside is not None else ", where nothing is now"
    return Finding(
        name="over-current-counted",
        severity="risk",
        certainty="certain",
        part=part.id,
        place=part.place,
        others=(owner,) if owner is not None and owner != part.id else (),
        message=f"Over-current was counted at {where}{holds}.",
        figures=(Figure("count since the start", count, "times", "measured"),),
        refuted_by="the count stays as it is through a night",
        fix=Fix(f"Try another cable there, then a hub with a supply of its own that is large enough. {SHORT}"),
    )


def _inside(comparison: Comparison, at: HubPort) -> Thing | None:
    keys = {(at.hub, at.number), *((at.peer,) if at.peer is not None else ())}
    for thing in comparison.live.things:
        if any(s.ports and (s.parent, s.ports[-1]) in keys for s in thing.seen):
            return thing
    return None


RIG = rig(guiding("computer/usb3-1"))

CHECK = Check(
    name="over-current-counted",
    summary="the system has counted over-current at a socket",
    explanation=__doc__,
    symptoms=("device drops", "power surge on the hub port"),
    severities=("risk",),
    find=find,
    needs="comparison",
    cases=(
        Case("no count", RIG, 0, scan(seen("1-1"), ports=(port("usb1", 1, over_current_count=0),))),
        Case("both sides of one socket", RIG, 1, scan(seen("1-1"), ports=(
            port("usb1", 1, over_current_count=2, peer=["usb2", 1]),
            port("usb2", 1, over_current_count=2, peer=["usb1", 1])))),
        Case("an empty socket too", RIG, 2, scan(seen("1-1"), ports=(
            port("usb1", 1, over_current_count=1), port("usb1", 4, over_current_count=1)))),
    ),
)
