"""A rig cut to what hangs on one controller: what is computed there is what the whole rig has there.

Parts on two controllers share no link. What crosses over is kept: mounts, the shutters of imaging cameras, and that
there is a focuser or a filter wheel at all, since these make the plan of the night; their plugs are left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.frozen import replace
from topo.model.facts import value_of
from topo.model.rig import COMPUTER, Device, P, Rig

if TYPE_CHECKING:
    from topo.wiring.topology import Topology

NOWHERE = ""
"""The group of parts that no leg joins with the computer."""

ONE_IS_ENOUGH = ("focuser", "filter-wheel")
"""Roles of which the night asks only whether the rig has any."""


def groups(topology: Topology) -> dict[str, list[str]]:
    """The parts that hang on each controller, in the order of the tree, by its name; those that are not wired by
    `NOWHERE`. All in one where something joins the controllers: a current that all sockets may give together, or copies
    that go on as long as every camera's pictures take."""
    rig = topology.rig
    joined = value_of(rig.computer.facts.all_ports_ma) is not None or any(
        each.when == "each-picture" for each in rig.night.copying
    )
    found: dict[str, list[str]] = {}
    at: dict[str, str] = {}
    for name in topology.wired[1:]:
        leg = topology.leg(name)
        assert leg is not None
        at[name] = at[leg.above] if leg.above != COMPUTER else "all" if joined else f"of {leg.socket.controller}"
        found.setdefault(at[name], []).append(name)
    lost = [part.id for part in rig.parts if part.id != COMPUTER and part.id not in at]
    if lost:
        found["all" if joined else NOWHERE] = [*found.get("all", ()), *lost] if joined else lost
    return found


def crossing(rig: Rig) -> tuple[Device, ...]:
    """The devices that matter on every controller: mounts, imaging cameras, the first focuser and filter wheel."""
    seen: set[str] = set()
    found = []
    for part in rig.devices:
        once = part.role in ONE_IS_ENOUGH and part.role not in seen
        if once or part.role in ("mount", "imaging"):
            seen.add(part.role)
            found.append(part)
    return tuple(found)


def cut(rig: Rig, here: frozenset[str]) -> Rig:
    """The rig with these parts alone, and what crosses over without its plug."""
    across = {part.id for part in crossing(rig)}

    def kept(parts: tuple[P, ...]) -> Iterator[P]:
        for part in parts:
            if part.id in here:
                yield part
            elif part.id in across:
                yield replace(part, plug=None)

    return replace(rig, hubs=tuple(kept(rig.hubs)), devices=tuple(kept(rig.devices)))
