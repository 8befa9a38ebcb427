"""The sockets on hubs and devices, from their facts: a hub's, a camera's back, a serial adapter's.

Those of a computer come from its ports, where the rig file is read: `topo.rigfile.profiles.sockets_of`.
"""

from __future__ import annotations

from topo.model.facts import basis_of, value_of
from topo.model.rig import Device, Hub, Socket
from topo.model.speed import Speed


def sockets_of_part(part: Hub | Device) -> tuple[Socket, ...]:
    """The sockets of a hub or device. Empty where their number is not known."""
    inside = part.inner_speed
    if isinstance(part, Hub):
        ports = part.facts.ports
        return tuple(Socket(str(n), inside, basis=basis_of(ports)) for n in range(1, value_of(ports, 0) + 1))
    facts = part.facts
    prefix = "usb3" if inside.is_superspeed else "usb2"
    usb = tuple(
        Socket(f"{prefix}-{n}", inside, basis=basis_of(facts.hub_ports))
        for n in range(1, value_of(facts.hub_ports, 0) + 1)
    )
    serial = tuple(
        Socket(f"serial-{n}", Speed.FULL, kind="serial", basis=basis_of(facts.serial_sockets))
        for n in range(1, value_of(facts.serial_sockets, 0) + 1)
    )
    return usb + serial
