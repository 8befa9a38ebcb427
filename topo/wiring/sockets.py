"""The sockets a part offers, from its facts: a computer's ports, a hub's, a camera's back, a serial adapter's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from topo.model.rig import Part, Socket
from topo.model.speed import Speed

ONLY_CONTROLLER = "usb"
"""Name of the controller where nobody named one: one controller for all sockets, assumed."""


def computer_sockets(
    known: tuple[Socket, ...], ports: Mapping[str, Any], controllers: Mapping[str, Any]
) -> tuple[Socket, ...]:
    """The computer's sockets: those of its profile with the file's `ports` laid over them, in that order."""
    sockets = {socket.name: socket for socket in known}
    default = next(iter(controllers), None) or next((s.controller for s in known if s.controller), ONLY_CONTROLLER)
    for name, port in ports.items():
        old = sockets.get(name)
        kind = port.kind or (old.kind if old else "serial" if name.startswith("serial") else "usb")
        speed = Speed.from_word(port.speed) if port.speed else old.speed if old else _speed_of_name(name, kind)
        sockets[name] = Socket(
            name,
            speed,
            kind,
            controller=port.controller or (old.controller if old else default),
            usb2_bus=port.usb2_bus or (old.usb2_bus if old else None),
            basis="declared" if port.speed and port.controller else "assumed",
        )
    return tuple(sockets.values())


def _speed_of_name(name: str, kind: str) -> Speed:
    if kind == "serial":
        return Speed.FULL
    return Speed.SUPER if name.startswith("usb3") else Speed.HIGH


def sockets_of_part(part: Part) -> tuple[Socket, ...]:
    """The sockets of a hub or device. Empty where their number is not known."""
    facts = part.facts
    if part.kind == "hub":
        speed = Speed.from_word(facts.value("speed", "high"))
        return tuple(Socket(str(n), speed, basis=facts.basis("ports")) for n in range(1, facts.value("ports", 0) + 1))
    inside = Speed.from_word(facts.value("hub_speed", "high"))
    prefix = "usb3" if inside.is_superspeed else "usb2"
    usb = tuple(
        Socket(f"{prefix}-{n}", inside, basis=facts.basis("hub_ports"))
        for n in range(1, facts.value("hub_ports", 0) + 1)
    )
    serial = tuple(
        Socket(f"serial-{n}", Speed.FULL, kind="serial", basis=facts.basis("serial_sockets"))
        for n in range(1, facts.value("serial_sockets", 0) + 1)
    )
    return usb + serial
