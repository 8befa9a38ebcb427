"""More hubs stand in a row than USB allows.

USB allows five hubs between a device and the computer (USB 2.0 4.1.1: seven tiers with the computer's own and the
device). A camera with sockets on its back is a hub, and so is an active USB 2 cable. A hub too deep is refused by the
computer, and all behind it with it.

A fault past five; a note at five, since the next active cable will be one too many.

Wrong if the system shows the device all the same: then something counted here is no hub.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.usb.limits import MOST_HUBS_IN_A_ROW

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Part


def find(study: Study) -> Iterator[Finding]:
    """One finding for each device with too many hubs above it; hubs themselves only where nothing behind them tells."""
    for part in study.rig.plugged:
        if part.kind == "hub" and any(_tells(study.rig.part(name)) for name in study.topology.children(part.id)):
            continue
        above = study.topology.hubs_above(part.id)
        deep = len(above) + (1 if part.kind == "hub" else 0)
        if deep < MOST_HUBS_IN_A_ROW or not _tells(part):
            continue
        fault = deep > MOST_HUBS_IN_A_ROW
        yield Finding(
            name="too-many-hubs-in-a-row",
            severity="fault" if fault else "note",
            certainty="certain",
            part=part.id,
            place=part.place,
            others=tuple(dict.fromkeys(above)),
            message=f"{deep} hubs stand between {plain(part.id)} and the computer; USB allows {MOST_HUBS_IN_A_ROW}.",
            figures=(
                Figure("hubs in a row", deep, "", "declared"),
                Figure("allowed", MOST_HUBS_IN_A_ROW, "", "profile"),
            ),
            refuted_by="the system shows the device all the same",
            fix=Fix("Plug it, or one of the hubs above it, nearer to the computer."),
        )


def _tells(part: Part) -> bool:
    """Whether a part is one the computer would see: a hub, or a device that uses USB."""
    return part.kind == "hub" or part.interface != "none"


def _chain(count: int) -> str:
    rows = ["  h1: {speed: high, ports: 4, plug: computer/usb2-1}\n"]
    rows += [f"  h{n}: {{speed: high, ports: 4, plug: h{n - 1}/1}}\n" for n in range(2, count + 1)]
    return "".join(rows)


CHECK = Check(
    name="too-many-hubs-in-a-row",
    summary="more hubs stand in a row than USB allows",
    explanation=__doc__,
    severities=("fault", "note"),
    find=find,
    scope="controller",
    cases=(
        Case("two hubs", rig(guiding("h2/1"), hubs=_chain(2)), 0),
        Case("five hubs: the limit", rig(guiding("h5/1"), hubs=_chain(5)), 1),
        Case("six hubs", rig(guiding("h6/1"), hubs=_chain(6)), 1),
        Case("six hubs with nothing on the last", rig(hubs=_chain(6)), 1),
        Case(
            "six hubs, and on the last a part that uses no USB",
            rig("  strap: {role: dew, interface: none, plug: h6/1}\n", hubs=_chain(6)),
            1,
        ),
    ),
)
