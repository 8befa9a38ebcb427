"""USB's 5 V: what each socket may give, what is drawn from it, and the volts left at the far end of each cable.

A socket of a host or of a hub with its own supply has 4.75 V at least on USB 2 (7.2.2), 4.45 V on USB 3 (11.4.2). A hub
without one hands on what reaches it, less up to 100 mV. Current crosses two contacts and one wire there, and the same
back.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.model.facts import BASES, Basis, Range3, basis_of, value_of
from topo.model.power import UsbPower
from topo.model.rig import Computer, Device, Hub
from topo.model.speed import Speed
from topo.usb.limits import (
    BUS_POWERED_PORT_MA,
    BUS_POWERED_PORT_VOLTS,
    CONTACT_OHM,
    DEVICE_VOLTS_USB3,
    PORT_MA_USB2,
    PORT_MA_USB3,
    PORT_VOLTS_USB2,
    PORT_VOLTS_USB3,
    cable_ohm_per_m,
    conductor_ohm_per_m,
)

if TYPE_CHECKING:
    from topo.model.records import CableFacts
    from topo.model.rig import Part, Socket
    from topo.wiring.topology import Leg, Topology

USUAL_VOLTS, MOST_VOLTS = 5.0, 5.25
"""Nominal, and the most at a socket (USB 2.0 7.2.1)."""

HUB_DROP = Range3(0.0, 0.05, 0.10)
"""Volts a hub without a supply costs: 100 mV at most (USB 2.0 7.2.2); the likely half is our own, no source."""

CONTACTS = 4
"""Two plugs, there and back; each joint of a cable in pieces adds two."""

NEW_CONTACT_OHM, WORN_CONTACT_OHM = CONTACT_OHM / 2, CONTACT_OHM + 0.010
"""30 milliohm at most when new, 10 more after wear (USB 3.1 5.6.2.4); half of it for the best (our own, no source)."""

WARM = 1.04
"""Copper at 30 C."""


def drawn_ma(topology: Topology, part_id: str) -> float:
    """What a part draws from the socket above it, with all behind it that has no supply of its own. Unknown is 0."""
    part = topology.part(part_id)
    own = 0.0 if isinstance(part, Computer) else value_of(part.facts.bus_ma, 0.0)
    if has_own_supply(part):
        return own
    return own + math.fsum(drawn_ma(topology, leg.part) for leg in _below(topology, part_id))


def has_own_supply(part: Part) -> bool:
    """A hub that says so, and a device with sockets on its back that draws from the 12 V side."""
    if isinstance(part, Hub):
        return bool(value_of(part.facts.powered))
    return isinstance(part, Device) and part.has_hub and bool(value_of(part.facts.amps_typical, 0.0))


def allowed_ma(above: Part, socket: Socket) -> tuple[float, Basis]:
    """What a socket may give, and where that figure comes from."""
    if socket.may_give_ma is not None:
        return socket.may_give_ma, "declared"
    if not isinstance(above, Device) and (stated := above.facts.port_ma) is not None:
        return stated.value, stated.basis
    if isinstance(above, Hub) and value_of(above.facts.powered) is False:
        return BUS_POWERED_PORT_MA, "profile"
    return (PORT_MA_USB3 if socket.speed >= Speed.SUPER else PORT_MA_USB2), "profile"


def usb_power(topology: Topology, on_12v: frozenset[str] = frozenset()) -> tuple[UsbPower, ...]:
    """The 5 V of every USB plug, from the computer down. `on_12v` are the parts that leads of the 12 V side end at."""
    found: list[UsbPower] = []
    reach: dict[str, UsbPower] = {}
    for name in topology.wired[1:]:
        leg = topology.leg(name)
        if leg is not None and leg.socket.kind == "usb":
            reach[name] = _plug(topology, leg, reach.get(leg.above), on_12v)
            found.append(reach[name])
    return tuple(found)


def _plug(topology: Topology, leg: Leg, above: UsbPower | None, on_12v: frozenset[str]) -> UsbPower:
    part, over = topology.part(leg.part), topology.part(leg.above)
    missing = [f"bus_ma of {name}" for name in _unknown_draws(topology, leg.part)]
    at_socket = _at_socket(over, leg.socket, above, missing)
    ohm = cable_ohm(part.cable, missing)
    drawn = None if missing and any(word.startswith("bus_ma") for word in missing) else drawn_ma(topology, leg.part)
    volts = None
    if at_socket is not None and ohm is not None and drawn is not None:
        ends = zip(at_socket, (ohm.high, ohm.likely, ohm.low), strict=True)
        volts = Range3.of(*(max(0.0, at - drawn / 1000 * each) for at, each in ends))
    may_give, basis = allowed_ma(over, leg.socket)
    best = topology.speed(leg.part) or Speed.HIGH
    drawn_basis = basis_of_drawn(topology, leg.part)
    return UsbPower(
        leg.part, leg.plug, drawn, may_give, basis, at_socket, volts,
        DEVICE_VOLTS_USB3 if best.is_superspeed else BUS_POWERED_PORT_VOLTS,
        drawn_basis, basis_of_volts(part.cable, drawn_basis, None if over_is_source(over) else above),
        over.id if over.id in on_12v and has_own_supply(over) else None, tuple(missing),
    )  # fmt: skip


def over_is_source(part: Part) -> bool:
    """Whether the 5 V of a part's sockets is its own: the computer's, and that of a hub with a supply."""
    return isinstance(part, Computer) or has_own_supply(part)


def basis_of_drawn(topology: Topology, name: str) -> Basis:
    """The weakest basis of what a part draws, with all behind it that hangs on its 5 V."""
    part = topology.part(name)
    own: Basis = "declared" if isinstance(part, Computer) else basis_of(part.facts.bus_ma)
    behind = () if has_own_supply(part) else (basis_of_drawn(topology, leg.part) for leg in _below(topology, name))
    return max((own, *behind), key=BASES.index)


def basis_of_volts(cable: CableFacts, drawn: Basis, above: UsbPower | None) -> Basis:
    """The weakest of what is drawn, of the cable, and of the volts above it: the standard's where these are its own.
    Contacts that nobody states are the standard's too."""
    stated = (cable.contact_milliohm,) if cable.contact_milliohm is not None else ()
    of_cable = basis_of(cable.length_m, cable.gauge_awg, *stated)
    return max((drawn, of_cable, "profile" if above is None else above.volts_basis), key=BASES.index)


def _at_socket(over: Part, socket: Socket, above: UsbPower | None, missing: list[str]) -> Range3 | None:
    """Volts at a socket; None where they hang on a cable or a hub of which too little is known."""
    if over_is_source(over):
        least = PORT_VOLTS_USB3 if socket.speed.is_superspeed else PORT_VOLTS_USB2
        return Range3(least, USUAL_VOLTS, MOST_VOLTS)
    if isinstance(over, Hub) and over.facts.powered is None:
        missing.append(f"powered of {over.id}")
        return None
    if above is None or above.volts is None:
        missing.append(f"volts at {over.id}")
        return None
    return Range3.of(*(max(0.0, volts - lost) for volts, lost in zip(
        above.volts, (HUB_DROP.high, HUB_DROP.likely, HUB_DROP.low), strict=True
    )))  # fmt: skip


def cable_ohm(cable: CableFacts, missing: list[str]) -> Range3 | None:
    """Ohms of a USB cable there and back, with its contacts; None where its length or gauge is not known."""
    length, gauge = value_of(cable.length_m), value_of(cable.gauge_awg)
    missing += ["length_m of its cable"] if length is None else []
    missing += ["gauge_awg of its cable"] if gauge is None else []
    if length is None or gauge is None:
        return None
    stated = value_of(cable.contact_milliohm)
    contact = Range3(NEW_CONTACT_OHM, CONTACT_OHM, WORN_CONTACT_OHM) if stated is None else Range3.of(stated / 1000)
    wire = Range3(conductor_ohm_per_m(gauge), cable_ohm_per_m(gauge), WARM * cable_ohm_per_m(gauge))
    return wire.scaled(2 * length) + contact.scaled(CONTACTS + 2 * value_of(cable.joints, 0))


def _unknown_draws(topology: Topology, name: str) -> list[str]:
    """Parts whose draw from USB nobody states, among a part and all behind it that hangs on its 5 V."""
    part = topology.part(name)
    found = [] if isinstance(part, Computer) or part.facts.bus_ma is not None else [name]
    if has_own_supply(part):
        return found
    return [*found, *(each for leg in _below(topology, name) for each in _unknown_draws(topology, leg.part))]


def _below(topology: Topology, name: str) -> list[Leg]:
    legs = (topology.leg(child) for child in topology.children(name))
    return [leg for leg in legs if leg is not None and leg.socket.kind == "usb"]
