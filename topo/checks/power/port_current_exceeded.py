"""More current is drawn from USB sockets than they may give.

A USB 2 socket gives 500 mA and a USB 3 socket 900 mA (USB 2.0 7.2.1, USB 3.1 11.4.1); a hub without its own supply has
100 mA for each of its sockets, and all of it comes out of the socket above. Small computers often limit all their
sockets together. Too much shows as devices that drop out in the cold or when a motor starts.

A hub without a supply is one finding with all that is behind it. A fault where the parts state more than the socket
above gives; a risk where only the share of one of its sockets (100 mA, 150 mA on USB 3) is passed: such hubs seldom
limit each socket, so it often works until it is cold.

Wrong if a meter in the line shows less, or if the over-current count of the port is still zero after a night.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure, value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Computer, Device, Hub
from topo.power.vbus import allowed_ma, drawn_ma

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Part


def find(study: Study) -> Iterator[Finding]:
    """One finding for each hub without a supply, each socket, and each part, that gives more than it may."""
    for name in study.topology.wired[1:]:
        leg, part = study.topology.leg(name), study.rig.part(name)
        if leg is None or leg.socket.kind != "usb":
            continue
        above = study.rig.part(leg.above)
        drawn = drawn_ma(study.topology, name)
        allowed, basis = allowed_ma(above, leg.socket)
        if isinstance(part, Hub) and _is_fed_from_above(part):
            yield from _of_hub(study, part, leg.plug, drawn, allowed)
        elif drawn > allowed and not _is_fed_from_above(above):
            where, do = f"the socket {plain(leg.plug)}", f"Plug {plain(name)} into a hub with its own supply."
            yield _finding(part, where, do, _drawn(part, drawn), Figure("may give", allowed, "mA", basis))
    for part in study.rig.parts:
        limit, total = None if isinstance(part, Device) else part.facts.all_ports_ma, _total_ma(study, part)
        if limit is not None and total > limit.value and not _is_fed_from_above(part):
            where = f"all sockets of {plain(part.id)} together"
            do = f"Put a hub with its own supply into {plain(part.id)}, and what draws most into that."
            gives = Figure("may give", limit.value, "mA", limit.basis)
            yield _finding(part, where, do, _drawn(part, total), gives)


def _is_fed_from_above(part: Part) -> bool:
    """True for a hub that is said to have no supply of its own."""
    return isinstance(part, Hub) and value_of(part.facts.powered) is False


def _total_ma(study: Study, part: Part) -> float:
    return math.fsum(drawn_ma(study.topology, child) for child in study.topology.children(part.id))


def _drawn(part: Part, drawn: float) -> Figure:
    own = None if isinstance(part, Computer) else part.facts.bus_ma
    return Figure("drawn", drawn, "mA", "profile" if own is None else own.basis)


def _of_hub(study: Study, hub: Hub, plug: str, drawn: float, allowed: float) -> Iterator[Finding]:
    """The one finding of a hub without a supply: what it takes from above, or else what one of its sockets gives."""
    greedy = []
    for child in study.topology.children(hub.id):
        leg = study.topology.leg(child)
        if leg is not None and drawn_ma(study.topology, child) > allowed_ma(hub, leg.socket)[0]:
            greedy.append((child, drawn_ma(study.topology, child), allowed_ma(hub, leg.socket)[0]))
    limit, total = value_of(hub.facts.all_ports_ma), _total_ma(study, hub)
    names = ", ".join(plain(child) for child, _, _ in greedy)
    figures = [
        Figure("drawn with all behind it", drawn, "mA", "profile"),
        Figure("the socket above may give", allowed, "mA", "profile"),
    ]
    figures += [Figure(f"drawn by {plain(child)}", takes, "mA", "profile") for child, takes, _ in greedy]
    figures += [Figure("each of its sockets may give", gives, "mA", "profile") for _, _, gives in greedy[:1]]
    if drawn > allowed:
        message = (
            f"{plain(hub.id)} has no supply of its own, and {drawn:g} mA with all behind it are drawn from "
            f"{plain(plug)}, which may give {allowed:g} mA."
        )
    elif greedy:
        message = (
            f"{plain(hub.id)} has no supply of its own, and each of its sockets may give {greedy[0][2]:g} mA; "
            f"{names} may draw more."
        )
    elif limit is not None and total > limit:
        message = (
            f"{plain(hub.id)} has no supply of its own, and {total:g} mA are drawn from all its sockets, which "
            f"may give {limit:g} mA together."
        )
    else:
        return
    yield Finding(
        name="port-current-exceeded",
        severity="fault" if drawn > allowed else "risk",
        certainty="possible",
        part=hub.id,
        place=hub.place,
        others=tuple(child for child, _, _ in greedy),
        message=message,
        figures=tuple(figures),
        refuted_by=REFUTED,
        fix=Fix(f"Use a hub with its own supply in place of {plain(hub.id)}. {SHORT}"),
    )


REFUTED = "a meter in the line shows less, or the over-current count is still zero after a night"


def _finding(part: Part, where: str, do: str, drawn: Figure, gives: Figure) -> Finding:
    return Finding(
        name="port-current-exceeded",
        severity="fault",
        certainty="possible",
        part=part.id,
        place=part.place,
        message=f"{drawn.value:g} mA are drawn from {where}, which may give {gives.value:g} mA.",
        figures=(drawn, gives),
        refuted_by=REFUTED,
        fix=Fix(f"{do} {SHORT}"),
    )


CHECK = Check(
    name="port-current-exceeded",
    summary="more current is drawn from USB sockets than they may give",
    tested_by="`topo compare RIG` shows what devices claim, and over-current that the system counted",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="controller",
    cases=(
        Case("300 mA from a USB 2 socket", rig("a: {speed: high, bus_ma: 300, plug: computer/usb2-1}"), 0),
        Case("700 mA from a USB 2 socket", rig("a: {speed: high, bus_ma: 700, plug: computer/usb2-1}"), 1),
        Case(
            "a camera on a hub without a supply",
            rig(
                "a: {speed: high, bus_ma: 300, plug: hub/1}",
                hubs="  hub: {speed: high, ports: 4, powered: false, bus_ma: 100, plug: computer/usb2-1}\n",
            ),
            1,
        ),
        Case(
            "too much on a hub without a supply is told once",
            rig(
                "a: {speed: high, bus_ma: 300, plug: hub/1}",
                "b: {speed: high, bus_ma: 300, plug: hub/2}",
                hubs="  hub: {speed: high, ports: 4, powered: false, bus_ma: 100, plug: computer/usb2-1}\n",
            ),
            1,
        ),
    ),
)
