"""A part of the rig file is not plugged in, or the computer does not see it.

Every part on USB is looked for by its ids where the file has them, then in its socket, then by what it is. One that is
nowhere has no power, a loose plug or a dead cable, or came up as something that cannot tell what it is. A hub that is
missing takes all behind it along, and is told once.

A fault for hubs, cameras and the mount, a risk for others. 'Possible' where the scan says that it could not see
everything, where things are plugged in whose place or kind it does not tell, or where a part that was found could be
this one just as well.

Wrong if the part works: then the scan or the rig file is not of tonight.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.checks.scans import adapter, hub, scan, seen
from topo.compare.likeness import fit
from topo.compare.ports import deciding_test
from topo.compare.words import told_name
from topo.model.check import Case, Check
from topo.model.facts import value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Hub
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.rig import Part

VITAL = ("imaging", "guiding", "mount")


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each part that is missing, but for those behind a hub that is missing too."""
    topology, missing = comparison.declared.topology, comparison.missing
    for name in missing:
        leg = topology.leg(name)
        if leg is not None and leg.above in missing:
            continue
        behind = tuple(part for part in topology.below(name) if part in missing)
        yield _finding(comparison, topology.part(name), behind)


def _finding(comparison: Comparison, part: Part, behind: tuple[str, ...]) -> Finding:
    along = f", and with it {listed(behind)}" if behind else ""
    strange = tuple(thing for thing in comparison.unexpected if thing.word == "device" and not thing.built_in)
    hint = " Something is plugged in that does not tell what it is: it may be this part." if strange else ""
    alike = tuple(match.part for match in comparison.matches if part.id in match.or_parts)
    hint += f" It may be {listed(alike)} that is not there: nothing that was seen tells which." if alike else ""
    serials = comparison.scan.limits.serials == "all"
    others = [t for t in comparison.unexpected if t not in strange and not t.built_in and fit(part, t, serials) > 0]
    if others:
        hint += f" {told_name(others[0])} is plugged in and not in the file: it may be this part."
    unsure = bool(comparison.scan.problems or strange or alike or others)
    return Finding(
        name="part-missing",
        severity="fault" if part.kind == "hub" or part.role in VITAL else "risk",
        certainty="possible" if unsure else "certain",
        part=part.id,
        place=part.place,
        others=behind,
        message=f"{plain(part.id)} is in the file but not found{along}.{hint}",
        refuted_by="it answers its program, or `topo live` shows it a minute later",
        fix=Fix(_decide(comparison, alike) + _advice(part) + _slow_behind_fast(comparison, part)),
    )


def _decide(comparison: Comparison, alike: tuple[str, ...]) -> str:
    return f"First, free: {deciding_test(comparison, alike[0])}. " if alike else ""


def _advice(part: Part) -> str:
    plug = f" in {plain(str(part.plug))}" if part.plug is not None else ""
    return f"Look whether it has power and its plug{plug} sits; then try another cable, then another socket."


def _slow_behind_fast(comparison: Comparison, part: Part) -> str:
    """Slow devices behind a USB 3 hub are known to stay away, on one maker's hubs and not on another's."""
    topology = comparison.declared.topology
    leg, own = topology.leg(part.id), value_of(part.own_speed)
    above = topology.part(leg.above) if leg is not None else None
    if own not in ("full", "low") or not isinstance(above, Hub) or not above.inner_speed.is_superspeed:
        return ""
    return (f" Slow devices are known to stay away behind some USB 3 hubs: try {plain(part.id)} in a USB 2 socket, or "
            "with a plain USB 2 hub between it and that hub.")


CHECK = Check(
    name="part-missing",
    summary="a part of the rig file is not found",
    tested_by="`topo chase RIG --symptom not-found` finds what is to blame",
    explanation=__doc__,
    symptoms=("device not found", "device missing", "not connected", "device does not show up"),
    severities=("fault", "risk"),
    find=find,
    needs="comparison",
    cases=(
        Case("there", rig(guiding("computer/usb3-1")), 0, scan(seen("1-1"))),
        Case("nothing plugged in", rig(guiding("computer/usb3-1")), 1, scan()),
        Case(
            "a hub and what is on it",
            rig(guiding("hub/1"), "mount: {role: mount, interface: serial, plug: hub/2}",
                hubs="  hub: {speed: high, ports: 4, plug: computer/usb2-1}\n"),
            1,
            scan(),
        ),
        Case(
            "one of two adapters",
            rig("a: {interface: serial, plug: hub/1}", "b: {interface: serial, plug: hub/2}",
                hubs="  hub: {speed: high, ports: 4, plug: computer/usb2-1}\n"),
            1,
            scan(hub("1-2"), adapter("1-2.2")),
        ),
    ),
)
