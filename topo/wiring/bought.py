"""Parts that are proposed to be bought, as generic as profiles are: what is assumed of them, and their names."""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING

from topo.model.change import AddCard
from topo.model.facts import Fact, T, value_of
from topo.model.records import CableFacts, HubFacts
from topo.model.rig import Computer, Controller, Device, Hub, Plug, Rig, Socket
from topo.model.speed import Speed

if TYPE_CHECKING:
    from collections.abc import Collection

    from topo.wiring.topology import Topology

HUB_SOCKETS = 4
"""Sockets of the hub that is proposed: the smallest usual one with a supply (common practice, no source)."""


USB2_PORT_MA, USB3_PORT_MA = 500, 900
"""What a socket of a powered hub gives (USB 2.0 7.2.1.4, USB 3.2 11.4.5)."""


def hub_words(speed: Speed) -> str:
    """What is to be bought for a chain of that speed."""
    return f"a powered USB {3 if speed.is_superspeed else 2} hub"


def bought_hub(
    name: str, plug: Plug | None, sockets: tuple[str, ...] = (), speed: Speed = Speed.SUPER
) -> Hub:
    """A powered hub for a chain of that speed, USB 3 or USB 2, with a translator for each port; with sockets of these
    names, else 1 to 4."""
    fast = speed.is_superspeed
    names = sockets or tuple(str(number) for number in range(1, HUB_SOCKETS + 1))
    return Hub(
        id=name,
        plug=plug,
        cable=CableFacts(grade=_common("usb3" if fast else "usb2")),
        facts=HubFacts(
            speed=_common("super" if fast else "high"),
            ports=_common(len(names)),
            powered=_common(True),
            translators=_common("per-port"),
            port_ma=_common(USB3_PORT_MA if fast else USB2_PORT_MA),
        ),
        sockets=tuple(Socket(each, Speed.SUPER if fast else Speed.HIGH, basis="assumed") for each in names),
    )


CARD_CONTROLLERS = 4
CARD_UPLINK = "pcie2x1"
"""A card with a controller for each of four sockets, each on a PCIe 2 lane of its own (from memory, verify: the profile
desktop-usb3-card-four-controllers has the same)."""


def bought_card(computer: Computer) -> AddCard:
    """A card whose four sockets have a controller each; named card-1 to card-4, or further on where these are taken."""
    taken = {name for socket in computer.sockets for name in (socket.name, socket.controller)}
    taken |= {each.name for each in computer.controllers}
    free = (name for number in range(1, len(taken) + CARD_CONTROLLERS + 1) if (name := f"card-{number}") not in taken)
    names = tuple(islice(free, CARD_CONTROLLERS))
    uplink = Fact(CARD_UPLINK, "assumed", "a common card with a controller for each socket")
    return AddCard(
        tuple(Controller(name, uplink) for name in names),
        tuple(Socket(name, Speed.SUPER, controller=name, basis="assumed") for name in names),
    )


def _common(value: T) -> Fact[T]:
    return Fact(value, "assumed", "a common powered hub")


def free_name(rig: Rig, kind: str = "new-hub") -> str:
    """A name that no part has: new-hub, new-hub1, …"""
    taken = {part.id for part in rig.parts}
    return next(name for number in range(len(taken) + 1) if (name := f"{kind}{number or ''}") not in taken)


def hub_speed(topology: Topology, names: Collection[str], above: str, socket: Socket) -> Speed:
    """The speed of a hub that is bought for parts, in a socket: what the chain can make use of and no more, unless one
    of them takes more current than a socket of a USB 2 hub gives."""
    parts = [topology.part(each) for name in names for each in (name, *topology.below(name))]
    if any(isinstance(part, Device) and value_of(part.facts.bus_ma, 0) > USB2_PORT_MA for part in parts):
        return Speed.SUPER
    return min(carried(topology, above, socket), max(best_behind(topology, name) for name in names))


def carried(topology: Topology, above: str, socket: Socket) -> Speed:
    """The best speed that a socket carries where it is now."""
    part = topology.part(above)
    return socket.speed if isinstance(part, Computer) else min(socket.speed, topology.passes_on(part))


def best_behind(topology: Topology, name: str) -> Speed:
    """The best speed that a part, or anything behind it, could make use of on its leg."""
    own = (topology.part(each).own_speed for each in (name, *topology.below(name)))
    return max((Speed.from_word(fact.value) for fact in own if fact is not None), default=Speed.HIGH)
