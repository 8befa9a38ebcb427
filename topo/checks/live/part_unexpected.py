"""Something is plugged in that the rig file does not have.

It takes part of the bus and of the current all the same. A disk, a camera or a network adapter can fill a link; a
keyboard does not. What the system says is built in is left out, and so are hubs, which are told with what they hold.

A risk for what can fill the bus a guide camera of the rig is on; all else is one note.

Wrong if the thing is unplugged during the night.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.checks.scans import disk, hub, scan, seen, wheel
from topo.compare.words import told_name, where
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.plugged import Thing
    from topo.model.rig import Part

MOST_LISTED = 12
"""Things named in one finding; the rest are counted."""

BUSY = ("storage", "camera", "network")


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each thing that can fill a guide camera's bus, and one for all others."""
    quiet = []
    for thing in comparison.unexpected:
        if thing.built_in or (thing.kind == "hub" and comparison.live.below(thing.key)):
            continue
        guide = _guide_beside(comparison, thing)
        if guide is None:
            quiet.append(thing)
        else:
            yield _beside(comparison, thing, guide)
    if quiet:
        yield _others(comparison, quiet)


def _beside(comparison: Comparison, thing: Thing, guide: Part) -> Finding:
    return Finding(
        name="part-unexpected",
        severity="risk",
        certainty="certain",
        part=guide.id,
        place=guide.place,
        message=f"{told_name(thing)} is plugged in ({where(comparison, thing)}), is not in the file, and is on the "
        f"same USB 2 bus as {plain(guide.id)}.",
        refuted_by="it is unplugged, or moves nothing, during the night",
        fix=Fix("Unplug it for the night, or write it into the file so that its load is counted."),
    )


def _others(comparison: Comparison, things: list[Thing]) -> Finding:
    told = [f"{told_name(thing)} ({where(comparison, thing)})" for thing in things[:MOST_LISTED]]
    more = f" and {len(things) - MOST_LISTED} more" if len(things) > MOST_LISTED else ""
    computer = comparison.study.rig.computer
    return Finding(
        name="part-unexpected",
        severity="note",
        certainty="certain",
        part=computer.id,
        place=computer.place,
        message=f"Plugged in and not in the file: {', '.join(told)}{more}.",
        refuted_by="they are unplugged during the night",
        fix=Fix("Nothing, where they are quiet; else write them into the file so that their load is counted."),
    )


def _guide_beside(comparison: Comparison, thing: Thing) -> Part | None:
    """A guide camera on the 480 Mb/s bus that a busy thing is on too."""
    if thing.word not in BUSY or (thing.own.speed_mbit or 0) != 480:
        return None
    for part in comparison.study.of_role("guiding"):
        match = comparison.match(part.id)
        own = match.own if match is not None else None
        if own is not None and own.speed_mbit == 480 and own.bus == thing.own.bus:
            return part
    return None


CHECK = Check(
    name="part-unexpected",
    summary="something is plugged in that the rig file does not have",
    explanation=__doc__,
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("nothing else", rig(guiding("computer/usb3-1")), 0, scan(seen("1-1"))),
        Case("a built-in camera", rig(guiding("computer/usb3-1")), 0,
             scan(seen("1-1"), seen("1-7", removable="fixed"))),
        Case("a disk beside the guide camera", rig(guiding("computer/usb3-1")), 1,
             scan(seen("1-1"), disk("1-2", 480))),
        Case("a wheel on an empty hub", rig(guiding("computer/usb3-1")), 1,
             scan(seen("1-1"), hub("1-2"), wheel("1-2.1"))),
    ),
)
