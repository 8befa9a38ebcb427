"""Which links the data of a few parts take, as a value: rigs in which they are equal are one to whoever asks of nothing
else (`model.check.Check.still`). In which of several like sockets a part sits changes nothing here, nor does another
socket of the same bus, however many hubs lie between.

All links are known by their number, in the order in which the parts take them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.model.rig import COMPUTER, Device
from topo.model.speed import Speed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from topo.model.rig import AnyPart
    from topo.wiring.topology import Topology


def routes(
    topology: Topology, names: Iterable[str], bare: Callable[[AnyPart], int], whole: Callable[[AnyPart], int]
) -> tuple[object, ...] | None:
    """The ways of the data of wired parts; None where a serial line has to do with them, which has more on it.

    `bare` gives a part's number without its plug and its cable, `whole` with its cable: what numbers are equal is one.
    """
    numbers: dict[object, int] = {}
    found: list[object] = []
    for name in names:
        part = topology.part(name)
        if not isinstance(part, Device):
            continue
        leg, speed = topology.leg(name), topology.speed(name)
        if leg is None or leg.socket.kind != "usb" or part.has_serial_line:
            return None
        root = topology.root_socket(name)
        assert root is not None
        uplink = topology.rig.computer.uplink(root.controller)
        bus = topology.usb2_bus(name)
        found.append((
            bare(part), speed, None if bus is None else (numbers.setdefault(bus, len(numbers)), bus[1]),
            None if uplink is None else (numbers.setdefault(root.controller, len(numbers)), uplink),
        ))
        if speed is None or speed >= Speed.SUPER:
            for leg in topology.path(name):
                link = numbers.setdefault(leg.part, len(numbers))
                found.append((link, whole(topology.part(leg.part)), leg.carries, leg.socket.speed))
        elif speed < Speed.HIGH and (translator := topology.translator(name)) is not None:
            found.append((numbers.setdefault(translator.id, len(numbers)), translator.hub == COMPUTER))
    return tuple(found)
