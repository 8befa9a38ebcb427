"""Which of the options of `topo place` a named socket belongs to: sockets that are alike are told once."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from topo.place.options import Option, Placement


def option_of(placement: Placement, plug: str) -> Option | None:
    """The option of a free socket; None where nothing goes there, or only with something bought."""
    ready = [option for option in placement.options if option.buy is None]
    own = next((option for option in ready if option.plug == plug), None)
    return own if own is not None or plug in dict(placement.ruled_out) else alike(placement, plug)


def alike(placement: Placement, at: str) -> Option | None:
    """The option whose class of sockets a named socket belongs to."""
    from topo.place.candidates import SocketClass

    above, _, name = at.partition("/")
    for option in placement.options:
        if option.buy is not None or not option.plug.startswith(f"{above}/"):
            continue
        owner = option.rig.part(above)
        socket, taken = owner.socket(name), any(str(part.plug) == at for part in option.rig.parts)
        mine = owner.socket(option.plug.partition("/")[2])
        if socket and mine and not taken and SocketClass.of(owner, socket) == SocketClass.of(owner, mine):
            return option
    return None
