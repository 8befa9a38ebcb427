"""What devices claim to draw is more than the socket above them may give.

Each device states the most it takes from the bus. A socket gives 500 mA, a SuperSpeed one 900 mA (USB 2.0 7.2.1, USB
3.1 11.4.1); a hub that says it has no supply of its own has one unit for each socket, 100 mA or 150 mA, and all of it
with its own draw comes out of the socket above. A claim is not a measurement, and devices with a supply of their own
are left out; so this is 'possible' only.

Wrong if a meter in the line shows less, or if the over-current count is still zero after a night.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.checks.scans import hub, scan, seen
from topo.compare.words import name_of, where
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.usb.limits import BUS_POWERED_PORT_MA, PORT_MA_USB2, PORT_MA_USB3
from topo.wiring.measured import claimed_ma

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.plugged import Thing

BUS_POWERED_PORT_MA_USB3 = 150.0
"""One unit load of a SuperSpeed hub with no supply (USB 3.1 11.4.1)."""


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each thing that claims more, with what hangs on it, than its socket may give."""
    for thing in comparison.live.things:
        claimed, allowed = drawn_ma(comparison, thing), allowed_ma(comparison, thing)
        if claimed > allowed:
            yield _finding(comparison, thing, claimed, allowed)


def is_bus_powered(thing: Thing) -> bool:
    """True for a hub that says it has no supply of its own."""
    told = [side.self_powered for side in thing.hub_sides if side.self_powered is not None]
    return thing.kind == "hub" and bool(told) and not any(told)


def drawn_ma(comparison: Comparison, thing: Thing) -> float:
    """What a thing claims, mA; with all behind it for a hub that has no supply of its own."""
    own = claimed_ma(thing.own) or 0.0
    if not is_bus_powered(thing):
        return own
    return own + math.fsum(drawn_ma(comparison, below) for below in comparison.live.below(thing.key))


def allowed_ma(comparison: Comparison, thing: Thing) -> float:
    """What the socket of a thing may give, mA."""
    above = comparison.live.thing(thing.above)
    fast = any(side.is_super for side in thing.seen)
    if above is not None and is_bus_powered(above):
        return BUS_POWERED_PORT_MA_USB3 if fast else BUS_POWERED_PORT_MA
    return PORT_MA_USB3 if fast else PORT_MA_USB2


def _finding(comparison: Comparison, thing: Thing, claimed: float, allowed: float) -> Finding:
    name = comparison.part_of(thing.key)
    above = comparison.part_of(thing.above) if thing.above is not None else None
    part = comparison.study.rig.part(name or above or "computer")
    along = " with all behind it" if is_bus_powered(thing) else ""
    return Finding(
        name="claimed-current-exceeded",
        severity="risk",
        certainty="possible",
        part=part.id,
        place=part.place,
        message=f"{name_of(comparison, thing)} ({where(comparison, thing)}) claims more current{along} than its "
        "socket may give.",
        figures=(Figure("claimed", claimed, "mA", "measured"), Figure("may give", allowed, "mA", "profile")),
        refuted_by="a meter in the line shows less, or its over-current count is still zero after a night",
        fix=Fix(f"Use a hub with a supply of its own there, or feed the device from 12 V. {SHORT}"),
    )


RIG = rig(guiding("hub/1"), hubs="  hub: {speed: high, ports: 4, plug: computer/usb2-1}\n")
ALONE = {"self_powered": False, "max_power_ma": 100}

CHECK = Check(
    name="claimed-current-exceeded",
    summary="devices claim more current than the socket above them may give",
    tested_by="`topo watch RIG` notes each drop through a night, with the time",
    explanation=__doc__,
    severities=("risk",),
    find=find,
    needs="comparison",
    cases=(
        Case("a hub with a supply", RIG, 0, scan(hub("3-1", max_power_ma=0), seen("3-1.1", max_power_ma=500))),
        Case("a hub without one", RIG, 1, scan(hub("3-1", **ALONE), seen("3-1.1", max_power_ma=300))),
        Case("and more than the socket above has", RIG, 2,
             scan(hub("3-1", **ALONE), seen("3-1.1", max_power_ma=450))),
        Case("a device with a supply of its own", RIG, 0,
             scan(hub("3-1", **ALONE), seen("3-1.1", max_power_ma=500, self_powered=True))),
    ),
)
