"""A controller has more devices than a USB bus has addresses.

A bus has 127 addresses (USB 2.0 4.1.1), and a hub takes one for itself; a USB 3 hub takes one on each of its two sides.
No rig gets there by itself, but a chain of docks and hubs in an observatory with several rigs can.

Wrong if the system lists all of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.usb.limits import MOST_ADDRESSES

if TYPE_CHECKING:
    from topo.analysis.study import Study


def find(study: Study) -> Iterator[Finding]:
    """One finding for each controller with too many devices on its USB 2 or its SuperSpeed side."""
    counts: Counter[str] = Counter()
    for name in study.topology.wired[1:]:
        root = study.topology.root_socket(name)
        if root is not None and root.kind == "usb":
            counts[str(root.controller)] += 1
    for controller, count in counts.items():
        if count <= MOST_ADDRESSES:
            continue
        yield Finding(
            name="too-many-devices",
            severity="fault",
            certainty="possible",
            part="computer",
            place=study.rig.computer.place,
            message=f"{count} hubs and devices are on controller {plain(controller)}; "
            f"a bus has {MOST_ADDRESSES} addresses.",
            figures=(
                Figure("hubs and devices", count, "", "declared"),
                Figure("addresses", MOST_ADDRESSES, "", "profile"),
            ),
            refuted_by="the system lists all of them",
            fix=Fix("Move a hub to another controller, or to a second computer."),
        )


def _many(hubs: int) -> str:
    rows = [f"  h{n}: {{speed: high, ports: 31, plug: computer/usb2-{n}}}\n" for n in (1, 2)]
    rows += [f"  h{n}: {{speed: high, ports: 31, plug: h1/{n - 2}}}\n" for n in range(3, hubs + 1)]
    return "".join(rows)


def _devices(count: int) -> list[str]:
    return [f"d{n}: {{speed: full, plug: h{3 + n // 31}/{1 + n % 31}}}" for n in range(count)]


CHECK = Check(
    name="too-many-devices",
    summary="a controller has more devices than a bus has addresses",
    tested_by="`topo compare RIG` shows all that is plugged in",
    explanation=__doc__,
    severities=("fault",),
    find=find,
    scope="controller",
    cases=(
        Case("a guide camera alone", rig(guiding("computer/usb2-1")), 0),
        Case("130 devices behind six hubs", rig(*_devices(124), hubs=_many(6)), 1),
    ),
)
