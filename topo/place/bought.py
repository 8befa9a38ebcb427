"""Parts that are proposed to be bought, as generic as profiles are: what is assumed of them, and their names."""

from __future__ import annotations

from topo.model.facts import Fact, T
from topo.model.records import CableFacts, HubFacts
from topo.model.rig import Hub, Plug, Rig, Socket
from topo.model.speed import Speed

HUB_SOCKETS = 4
"""Sockets of the hub that is proposed: the smallest usual one with a supply (common practice, no source)."""


def bought_hub(name: str, plug: Plug | None, sockets: tuple[str, ...] = ()) -> Hub:
    """A powered USB 3 hub with a translator for each port; with sockets of these names, else 1 to 4."""
    names = sockets or tuple(str(number) for number in range(1, HUB_SOCKETS + 1))
    return Hub(
        id=name,
        plug=plug,
        cable=CableFacts(grade=_common("usb3")),
        facts=HubFacts(
            speed=_common("super"),
            ports=_common(len(names)),
            powered=_common(True),
            translators=_common("per-port"),
            port_ma=_common(900),
        ),
        sockets=tuple(Socket(each, Speed.SUPER, basis="assumed") for each in names),
    )


def _common(value: T) -> Fact[T]:
    return Fact(value, "assumed", "a common powered hub")


def free_name(rig: Rig) -> str:
    """A name that no part has: new-hub, new-hub1, …"""
    taken = {part.id for part in rig.parts}
    return next(name for number in range(len(taken) + 1) if (name := f"new-hub{number or ''}") not in taken)
