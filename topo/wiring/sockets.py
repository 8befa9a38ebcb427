"""The sockets on hubs and devices, from their facts: a hub's, a camera's back, a serial adapter's.

Those of a computer come from its ports, where the rig file is read: `topo.rigfile.profiles.sockets_of`.
"""

from __future__ import annotations

from topo.model.rig import Part, Socket
from topo.model.speed import Speed


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
