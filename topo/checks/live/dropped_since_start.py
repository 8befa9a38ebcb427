"""A part's device number is far above those of its neighbours: it has dropped and come back since the system started.

A bus hands out numbers in turn, the next one at every plugging in, so a number is a free count of drops. Numbers are
per bus; the two sides of a USB 3 socket are different buses. Nothing is said while a part is missing: the numbers left
out may be those of the part itself. Where several parts stand out together, what they have in common is named: its
cable, its supply, or the hub itself. Deliberate plugging counts too, so this is only a lead.

A risk from five numbers beyond the neighbours on, a note below.

Wrong if it was unplugged by hand since the start, or the number stays the same through a night.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.checks.scans import adapter, hub, scan, seen
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import COMPUTER
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.sighting import Sighting

LEAST_GAP = 3
"""Numbers left out before one stands out: two unpluggings by hand are everyday."""

RISK_GAP = 5


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each bus with parts that stand out.

    Numbers left out may be those of parts that are missing, or that a listing does not show: then nothing is said.
    """
    if comparison.missing or comparison.scan.limits.devices != "all":
        return
    buses: dict[int, list[Sighting]] = {}
    for each in comparison.scan.sightings:
        if each.devnum is not None:
            buses.setdefault(each.bus, []).append(each)
    for bus in sorted(buses):
        late, gap = standing_out(buses[bus])
        owners = {s.id: part for m in comparison.matches for t in m.things for s in t.seen if (part := m.part)}
        parts = tuple(dict.fromkeys(owners[s.id] for s in late if s.id in owners))
        if parts:
            yield _finding(comparison, bus, parts, gap, late)


def standing_out(neighbours: list[Sighting]) -> tuple[list[Sighting], int]:
    """Devices of a bus after the first gap in its numbers, and how wide that gap is. None where all stand together."""
    numbered = sorted(neighbours, key=lambda each: (each.devnum or 0, each.id))
    for index in range(1, len(numbered)):
        gap = (numbered[index].devnum or 0) - (numbered[index - 1].devnum or 0) - 1
        if gap >= LEAST_GAP:
            return numbered[index:], gap
    return [], 0


def _finding(
    comparison: Comparison, bus: int, parts: tuple[str, ...], gap: int, late: list[Sighting]
) -> Finding:
    topology = comparison.study.topology
    common = topology.common_ancestor(parts) if len(parts) > 1 else None
    first = parts[0] if common in (None, COMPUTER) else common
    part = comparison.study.rig.part(first or parts[0])
    shared = common is not None and common != COMPUTER and common not in parts
    share = f" All of them are plugged in below {plain(str(common))}." if shared else ""
    verb = "stands" if len(parts) == 1 else "stand"
    return Finding(
        name="dropped-since-start",
        severity="risk" if gap >= RISK_GAP else "note",
        certainty="possible",
        part=part.id,
        place=part.place,
        others=tuple(name for name in parts if name != part.id),
        message=f"The device number of {listed(parts)} {verb} out on bus {bus}: dropped and come back, or plugged in "
        f"again, since the system started.{share}",
        figures=(
            Figure("highest number on the bus", max(each.devnum or 0 for each in late), "", "measured"),
            Figure("numbers left out below", gap, "numbers", "measured"),
        ),
        refuted_by="it was unplugged by hand since the start, or its number stays the same through a night",
        fix=Fix(f"Try another cable on {plain(part.id)} first, then its supply; `topo watch` notes every drop."),
    )


RIG = rig(guiding("hub/1"), "mount: {role: mount, interface: serial, plug: hub/2}",
          hubs="  hub: {speed: high, ports: 4, plug: computer/usb2-1}\n")


def numbered_scan(hub_number: int, guide: int, mount: int) -> str:
    """A scan of the rig with these device numbers."""
    return scan(hub("3-1", devnum=hub_number), seen("3-1.1", devnum=guide), adapter("3-1.2", devnum=mount))


CHECK = Check(
    name="dropped-since-start",
    summary="a part's device number stands out against its neighbours: it has dropped since the start",
    tested_by="`topo watch RIG` notes each drop through a night, with the time",
    explanation=__doc__,
    symptoms=("device drops and comes back", "keeps disconnecting", "camera disconnects"),
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("numbers in turn", RIG, 0, numbered_scan(2, 3, 5)),
        Case("one far above", RIG, 1, numbered_scan(2, 3, 24)),
        Case("a whole branch", RIG, 1, numbered_scan(11, 12, 13)),
        Case("the numbers of a hub that is missing with its parts",
             rig(guiding("hub/1"), "mount: {role: mount, interface: serial, plug: far/2}",
                 hubs="  hub: {speed: high, ports: 4, plug: computer/usb2-1}\n"
                      "  far: {speed: high, ports: 4, plug: computer/usb2-2}\n"), 0,
             scan(hub("3-1", devnum=6), seen("3-1.1", devnum=7))),
    ),
)
