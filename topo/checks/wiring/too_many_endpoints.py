"""The endpoints of all devices on a controller pass what the controller can serve.

Every device takes one endpoint for control and some for its data; a hub takes two. A controller serves a limited number
(64 to 96 are published for common ones), and when they are used up the next device is refused with 'not enough USB
controller resources', whatever the bandwidth.

A fault where the computer's own limit is known and passed; a risk where 64, the lowest published figure, is passed.

Wrong if the system accepts one more device on that controller.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import PLAIN_PC, guiding, rig
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Device

if TYPE_CHECKING:
    from topo.analysis.study import Study

LOWEST_PUBLISHED = 64
"""The fewest endpoints published for a controller; some allow 96 or more."""

USUAL_ENDPOINTS = 3
"""Control and two data endpoints: what is assumed for a device that does not say (common practice, no source)."""

HUB_ENDPOINTS = 2
"""Control and status change (USB 2.0 11.12.1)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each controller whose devices may use up its endpoints."""
    totals: dict[str, int] = {}
    for name in study.topology.wired[1:]:
        root, part = study.topology.root_socket(name), study.rig.part(name)
        leg = study.topology.leg(name)
        if root is None or root.kind != "usb" or leg is None or leg.socket.kind != "usb":
            continue
        uses = HUB_ENDPOINTS if part.has_hub else 0
        if isinstance(part, Device):
            uses += 1 + value_of(part.facts.endpoints, USUAL_ENDPOINTS - 1)
        totals[str(root.controller)] = totals.get(str(root.controller), 0) + uses
    known = value_of(study.rig.computer.facts.endpoint_slots)
    for controller, total in totals.items():
        if total <= (known or LOWEST_PUBLISHED):
            continue
        yield Finding(
            name="too-many-endpoints",
            severity="fault" if known else "risk",
            certainty="possible",
            part="computer",
            place=study.rig.computer.place,
            message=f"The devices on controller {plain(controller)} use about {total} endpoints; "
            f"{'it serves' if known else 'some controllers serve no more than'} {known or LOWEST_PUBLISHED}.",
            figures=(
                Figure("endpoints", total, "", "assumed"),
                Figure("limit", known or LOWEST_PUBLISHED, "", basis_of(study.rig.computer.facts.endpoint_slots)),
            ),
            refuted_by="the system accepts one more device on that controller",
            fix=Fix("Move a hub with its devices to another controller, or leave a dock out."),
        )


HUB = "  hub: {speed: high, ports: 31, plug: computer/usb2-1}\n"

CHECK = Check(
    name="too-many-endpoints",
    summary="the devices of a controller may use up its endpoints",
    tested_by="`topo evidence RIG KERNEL-LOG` finds where the system refused a device",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="controller",
    cases=(
        Case("a guide camera alone", rig(guiding("computer/usb2-1"), computer=PLAIN_PC), 0),
        Case(
            "twenty-five devices on a hub",
            rig(*(f"d{n}: {{speed: full, plug: hub/{n}}}" for n in range(1, 26)), hubs=HUB),
            1,
        ),
    ),
)
