"""For `topo place`: the sockets of the computer and of hubs with their ranks, from what was computed of each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.cli.place_alike import option_of
from topo.model.plain import plain
from topo.model.rig import COMPUTER

if TYPE_CHECKING:
    from topo.draw.back import Back, Hole
    from topo.model.rig import Part, Rig, Socket
    from topo.place.options import Placement


def backs(rig: Rig, placement: Placement) -> tuple[Back, ...]:
    """The computer's back, and that of each hub and camera with a free socket."""
    from topo.draw.back import Back

    used = {str(part.plug): part.id for part in rig.parts if part.plug is not None}
    found = []
    for part in rig.parts:
        if part.sockets and (part.id == COMPUTER or any(f"{part.id}/{each.name}" not in used for each in part.sockets)):
            found.append(Back(plain(part.id), tuple(_hole(part, each, used, placement) for each in part.sockets)))
    return tuple(found)


def _hole(part: Part, socket: Socket, used: dict[str, str], placement: Placement) -> Hole:
    from topo.draw.back import Hole

    plug = f"{part.id}/{socket.name}"
    kind = "serial" if socket.kind == "serial" else "superspeed" if socket.speed.is_superspeed else "usb2"
    if plug in used:
        return Hole(plain(socket.name), kind, 0, plain(used[plug]))  # type: ignore[arg-type]
    option = option_of(placement, plug)
    rank = 0 if option is None else placement.options.index(option) + 1
    return Hole(plain(socket.name), kind, rank, "" if rank else "no")  # type: ignore[arg-type]
