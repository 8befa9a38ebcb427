"""A 2.4 GHz radio sits beside a SuperSpeed device at work.

SuperSpeed data at 5 Gb/s is broadband noise from 0 to 5 GHz that cannot be filtered out, strongest near sockets, plugs
and cables (white paper 327216-001, 2012). A Wi-Fi or Bluetooth receiver next to it loses range, or the link, while the
camera downloads. A camera behind a hub makes that noise at every plug on its way: in the hub's lead and in the socket
of the computer that the hub is plugged into. Advice, not measurement: how bad it is depends on centimetres.

A risk where the radio is the computer's own network, a note for a dongle or another device.

Wrong if the radio stays up through a download with its signal unchanged.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import PLAIN_PC, imaging, rig
from topo.model.check import Case, Check
from topo.model.facts import value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study

HUB = "  hub: {speed: super, ports: 4, powered: true, plug: computer/usb3-1}\n"


def find(study: Study) -> Iterator[Finding]:
    """One finding for each 2.4 GHz radio plugged in beside active SuperSpeed, and one for the computer's own."""
    computer = study.rig.computer
    if not value_of(computer.facts.radio_2g4) and not any(value_of(part.facts.radio_2g4) for part in study.rig.devices):
        return
    active = [part.id for part in study.rig.devices if _is_active(study, part.id)]
    if not active:
        return
    if value_of(computer.facts.radio_2g4):
        yield _finding(study, computer.id, tuple(active))
    for part in study.rig.devices:
        leg = study.topology.leg(part.id)
        if leg is None or not value_of(part.facts.radio_2g4):
            continue
        beside = tuple(name for name in active if name != part.id and _neighbours(study, name, leg.above))
        if beside:
            yield _finding(study, part.id, beside)


def _is_active(study: Study, name: str) -> bool:
    speed = study.topology.speed(name)
    return speed is not None and speed.is_superspeed and study.flow(name) is not None


def _neighbours(study: Study, name: str, above: str) -> bool:
    """Whether SuperSpeed on its way from a part passes a plug at the radio's box: a socket of it, or its own lead."""
    return any(above in (leg.above, leg.part) for leg in study.topology.path(name))


def _finding(study: Study, radio: str, beside: tuple[str, ...]) -> Finding:
    part = study.rig.part(radio)
    names = " and ".join(plain(name) for name in beside)
    return Finding(
        name="radio-beside-superspeed",
        severity="risk" if radio == "computer" or part.role == "network" else "note",
        certainty="possible",
        part=radio,
        place=part.place,
        others=beside,
        message=f"The 2.4 GHz radio of {plain(radio)} is next to {names}: USB 3 at work makes noise in that band.",
        refuted_by="the radio's signal stays the same through a download",
        fix=Fix("Use 5 GHz or a network cable; or put the radio, or the camera's hub, on a lead of 0.3 to 1 m."),
    )


CHECK = Check(
    name="radio-beside-superspeed",
    summary="a 2.4 GHz radio sits beside a SuperSpeed device at work",
    tested_by="`topo chase RIG --symptom drops` tries it with the radio off",
    explanation=__doc__,
    severities=("risk", "note"),
    find=find,
    cases=(
        Case(
            "a radio and a USB 2 camera",
            rig(imaging("computer/usb2-1"), "stick: {role: network, radio_2g4: true, plug: computer/usb3-2}"),
            0,
        ),
        Case(
            "a radio beside a SuperSpeed camera",
            rig(imaging("computer/usb3-1"), "stick: {role: network, radio_2g4: true, plug: computer/usb3-2}"),
            1,
        ),
        Case(
            "a radio in the camera's own back",
            rig(imaging("computer/usb3-1", "hub_ports: 2"),
                "stick: {role: network, radio_2g4: true, plug: main-camera/usb2-1}"),
            1,
        ),
        Case(
            "a camera behind a hub, whose lead is plugged in beside the radio",
            rig(imaging("hub/1"), "stick: {role: network, radio_2g4: true, plug: computer/usb3-2}", hubs=HUB),
            1,
        ),
        Case(
            "the computer's own Wi-Fi, and a camera behind a hub",
            rig(imaging("hub/1"), hubs=HUB, computer=PLAIN_PC.replace("computer:\n", "computer:\n  radio_2g4: true\n")),
            1,
        ),
        Case(
            "the computer's own Wi-Fi, and nothing at SuperSpeed",
            rig(imaging("computer/usb2-1"),
                computer=PLAIN_PC.replace("computer:\n", "computer:\n  radio_2g4: true\n")),
            0,
        ),
    ),
)
