"""Several cables run over the mount's axes, where each can snag, pull on a plug, or drag the tube.

A cable may do at one position of the mount what it never does on the bench: trouble that comes on a flip, at one part
of the sky or after a knock is a cable or its plug more often than anything else. The fewer cross, the fewer can. One
data cable and one 12 V lead up to the tube, and a hub there for the rest, is what people end up with (common
practice, no source).

Derived from where parts sit (`sits:` tube, counterweight, mount, pier or indoors). The tube turns with both axes, the
counterweight bar with one. A note from three cables on; what a hub on the tube would leave is computed, and so is
what sharing it would bring.

Wrong if no cable pulls while you turn the mount through its whole range by hand, in daylight.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, imaging, rig
from topo.frozen import replace
from topo.model.change import AddPart, Change, MovePlug, Proposal
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import COMPUTER, Plug
from topo.wiring.bought import bought_hub, free_name, hub_speed, hub_words
from topo.wiring.crossings import crossings, places_missing
from topo.words.lists import some_of

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.wiring.crossings import Crossing

MANY = 3
"""Cables over the axes from which it is told (our own proposal, no source)."""

MOST_ON_HUB = 7
"""Sockets of the largest usual hub."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for the rig, where many cables cross."""
    found = crossings(study.rig)
    if len(found) < MANY:
        return
    data = [each.part for each in found if each.kind == "data"]
    first = study.rig.part(found[0].far)
    names = tuple(dict.fromkeys(each.far for each in found))
    axes = sum(each.axes for each in found)
    yield Finding(
        name="cables-cross-axes",
        severity="note",
        certainty="certain",
        part=first.id,
        place=first.place,
        message=f"{len(found)} cables run over the mount's axes ({axes} crossings): those of {some_of(names, 8)}.",
        figures=_figures(study),
        others=tuple(name for name in names if name != first.id),
        refuted_by="no cable pulls while you turn the mount through its whole range by hand, in daylight",
        fix=Fix("Lead them in one bundle with a loop at each axis, tied on both sides of it. A hub on the tube would "
                "save the most.", tuple(_hub_on_tube(study, data)), _figures),
    )


def _figures(study: Study) -> tuple[Figure, ...]:
    found, unsaid = crossings(study.rig), places_missing(study.rig)
    return (
        Figure("cables over the axes", len(found), "", "declared"),
        Figure("of them data", sum(each.kind == "data" for each in found), "", "declared"),
        Figure("crossings", _axes(found), "", "declared"),
        *((Figure("parts whose place is not said", len(unsaid), "", "declared"),) if unsaid else ()),
    )


def _axes(found: tuple[Crossing, ...]) -> int:
    return sum(each.axes for each in found)


def _hub_on_tube(study: Study, crossing: list[str]) -> Iterator[Proposal]:
    """A powered hub on the tube, in the socket of one of the cables that cross, with all of those parts on it."""
    topology = study.topology
    legs = [leg for name in crossing if (leg := topology.leg(name)) is not None and leg.socket.kind == "usb"
            and study.rig.part(name).sits == "tube"]
    if not 2 <= len(legs) <= MOST_ON_HUB:
        return
    roots = sorted((leg for leg in legs if leg.above == COMPUTER), key=lambda leg: -leg.socket.speed)
    for leg in roots[:2]:
        names = tuple(str(number) for number in range(1, len(legs) + 1))
        speed = hub_speed(topology, [each.part for each in legs], leg.above, leg.socket)
        hub = replace(bought_hub(free_name(study.rig, "tube-hub"), Plug(COMPUTER, leg.socket.name), names, speed),
                      sits="tube")
        moves: list[Change] = [MovePlug(each.part, hub.id, socket) for each, socket in zip(legs, names, strict=True)]
        yield Proposal((AddPart(hub), *moves), (f"{hub_words(speed)} for the tube, fed by a 12 V lead of its own, in "
                                                f"{plain(COMPUTER)}/{plain(leg.socket.name)}",))


def _on(where: str) -> str:
    return f"sits: {where}"


SEATED = "rig: A case\ncomputer:\n  sits: pier\n"


def _seated(*parts: str) -> str:
    return rig(*parts).replace("rig: A case\ncomputer:\n", SEATED)


CHECK = Check(
    name="cables-cross-axes",
    summary="several cables run over the mount's axes",
    tested_by="`topo chase RIG --symptom drops` tells whether it happens at one position of the mount",
    explanation=__doc__,
    severities=("note",),
    symptoms=("fails at one position of the mount", "fails on a meridian flip", "fails after a knock"),
    find=find,
    cases=(
        Case("three parts on the tube, nobody says where the computer sits",
             rig(imaging("computer/usb3-1", _on("tube")), guiding("computer/usb2-1", _on("tube")),
                 "focuser: {role: focuser, speed: full, plug: computer/usb2-2, sits: tube}"), 0),
        Case("two cables up to the tube",
             _seated(imaging("computer/usb3-1", _on("tube")), guiding("computer/usb2-1", _on("tube")),
                     "mount: {role: mount, speed: full, plug: computer/usb2-2, sits: mount}"), 0),
        Case("three cables up to the tube",
             _seated(imaging("computer/usb3-1", _on("tube")), guiding("computer/usb2-1", _on("tube")),
                     "focuser: {role: focuser, speed: full, plug: computer/usb2-2, sits: tube}"), 1),
    ),
)
