"""Parts that are proposed to be bought, as generic as profiles are: what is assumed of them, and their names."""

from __future__ import annotations

from topo.model.facts import Fact, Facts
from topo.model.rig import Cable, Part, Plug, Rig, Socket
from topo.model.speed import Speed

HUB_SOCKETS = 4
"""Sockets of the hub that is proposed: the smallest usual one with a supply (common practice, no source)."""


def bought_hub(name: str, plug: Plug | None, sockets: tuple[str, ...] = ()) -> Part:
    """A powered USB 3 hub with a translator for each port; with sockets of these names, else 1 to 4."""
    names = sockets or tuple(str(number) for number in range(1, HUB_SOCKETS + 1))
    facts = Facts(
        {
            key: Fact(value, "assumed", "a common powered hub")
            for key, value in (
                ("speed", "super"),
                ("ports", len(names)),
                ("powered", True),
                ("translators", "per-port"),
                ("port_ma", 900),
            )
        }
    )
    return Part(name, "hub", plug=plug, facts=facts, cable=Cable(grade="usb3"),
                sockets=tuple(Socket(each, Speed.SUPER, basis="assumed") for each in names))  # fmt: skip


def free_name(rig: Rig) -> str:
    """A name that no part has: new-hub, new-hub1, …"""
    taken = {part.id for part in rig.parts}
    return next(name for number in range(len(taken) + 1) if (name := f"new-hub{number or ''}") not in taken)
