"""More current is drawn from USB sockets than they may give.

A USB 2 socket gives 500 mA and a USB 3 socket 900 mA (USB 2.0 7.2.1, USB 3.1 11.4.1); a hub without its own supply has
100 mA for each of its sockets, and all of it comes out of the socket above. Small computers often limit all their
sockets together. Too much shows as devices that drop out in the cold or when a motor starts.

A fault where what the devices state adds up to more; a note where a hub without a supply feeds another one.

Refuted by a meter in the line, or if the over-current count of the port stays at zero through the night.
Mains supplies stay closed; follow local codes.
"""

from __future__ import annotations

from collections.abc import Iterator

from topo.analysis.study import Study
from topo.checks.cases import rig
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Basis, Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Part, Socket
from topo.model.speed import Speed
from topo.usb.limits import BUS_POWERED_PORT_MA, PORT_MA_USB2, PORT_MA_USB3


def drawn_ma(study: Study, part_id: str) -> float:
    """What a part draws from the socket above it, with all behind it that has no supply of its own. Unknown is 0."""
    part = study.rig.part(part_id)
    own = part.facts.number("bus_ma") or 0.0
    if part.kind == "hub" and part.facts.value("powered"):
        return own
    if part.kind == "device" and part.has_hub and part.facts.number("amps_typical"):
        return own
    return own + sum(
        drawn_ma(study, child)
        for child in study.topology.children(part_id)
        if (leg := study.topology.leg(child)) is not None and leg.socket.kind == "usb"
    )


def allowed_ma(study: Study, above: Part, socket: Socket) -> tuple[float, Basis]:
    """What a socket may give, and where that figure comes from."""
    if (stated := above.facts.number("port_ma")) is not None:
        return stated, above.facts.basis("port_ma")
    if above.kind == "hub" and above.facts.value("powered") is False:
        return BUS_POWERED_PORT_MA, "profile"
    return (PORT_MA_USB3 if socket.speed >= Speed.SUPER else PORT_MA_USB2), "profile"


def find(study: Study) -> Iterator[Finding]:
    """One finding for each socket, and each part, that gives more than it may."""
    for name in study.topology.wired[1:]:
        leg, part = study.topology.leg(name), study.rig.part(name)
        if leg is None or leg.socket.kind != "usb":
            continue
        drawn = drawn_ma(study, name)
        allowed, basis = allowed_ma(study, study.rig.part(leg.above), leg.socket)
        if drawn > allowed:
            yield _finding(study, part, f"the socket {plain(leg.plug)}", drawn, allowed, basis)
    for part in study.rig.parts:
        limit = part.facts.number("all_ports_ma")
        total = sum(drawn_ma(study, child) for child in study.topology.children(part.id))
        if limit is not None and total > limit:
            yield _finding(
                study, part, f"all sockets of {plain(part.id)} together", total, limit, part.facts.basis("all_ports_ma")
            )


def _finding(study: Study, part: Part, where: str, drawn: float, allowed: float, basis: Basis) -> Finding:
    return Finding(
        name="port-current-exceeded",
        severity="fault",
        certainty="possible",
        part=part.id,
        place=part.place,
        message=f"{drawn:g} mA are drawn from {where}, which may give {allowed:g} mA.",
        figures=(
            Figure("drawn", drawn, "mA", part.facts.basis("bus_ma") if "bus_ma" in part.facts else "profile"),
            Figure("may give", allowed, "mA", basis),
        ),
        refuted_by="a meter in the line, or an over-current count of zero after a night",
        fix=Fix(f"Use a hub with its own supply there, or feed the device from 12 V. {SHORT}"),
    )


CHECK = Check(
    name="port-current-exceeded",
    summary="more current is drawn from USB sockets than they may give",
    explanation=__doc__,
    severities=("fault",),
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
    ),
)
