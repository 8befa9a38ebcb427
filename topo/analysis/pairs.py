"""Guide cameras with what they share scarce links with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.night.meet import SLIGHT, is_slight

if TYPE_CHECKING:
    from topo.analysis.levels import Level
    from topo.model.traffic import Flow, Traffic
    from topo.wiring.topology import Topology


@frozen
class Shared:
    """A guide camera, another flow, and the links that cannot carry both, from the nearest to the guide camera up."""

    guide: str
    other: str
    links: tuple[str, ...]


def shared_links(topology: Topology, traffic: Traffic, levels: tuple[Level, ...]) -> tuple[Shared, ...]:
    """Every guide camera with each other flow that a link of both cannot carry beside it, at some level; and with each
    that streams in bandwidth it has reserved, where what is left is less than the guide camera reads out."""
    roles = {part.id: part.role for part in topology.rig.devices}
    guides = [flow for flow in traffic.flows if roles[flow.device] == "guiding" and flow.is_burst]
    found = []
    for guide in guides:
        for other in traffic.flows:
            if other is not guide and not _is_slight(other, guide, levels):
                links = tuple(dict.fromkeys(name for level in levels for name in level.shared(guide, other)))
                links = links or _pressed(topology, traffic, guide, other)
                if links:
                    found.append(Shared(guide.device, other.device, links))
    return tuple(found)


def _pressed(topology: Topology, traffic: Traffic, guide: Flow, other: Flow) -> tuple[str, ...]:
    """The bus on which a stream has reserved so much that a guide camera gets less than it reads out."""
    bus = topology.usb2_bus(guide.device)
    if other.uses or bus is None or topology.usb2_bus(other.device) != bus:
        return ()
    for use in guide.uses:
        if use.resource == bus[0]:
            link = next(each for each in traffic.resources if each.id == bus[0])
            left, whole = link.capacity.low / use.seconds_per_byte, link.expected_mb_per_s.low * 1e6
            return (link.id,) if left < min(guide.demand_bytes_per_s, whole) * (1.0 - SLIGHT) else ()
    return ()


def _is_slight(flow: Flow, guide: Flow, levels: tuple[Level, ...]) -> bool:
    """Whether a steady flow takes so little of each link of a guide camera that it holds it up by no microframe."""
    links = {use.resource for use in guide.uses}
    return not flow.is_burst and bool(flow.uses) and all(
        is_slight(flow.demand_bytes_per_s, flow.uses, level.capacities, links) for level in levels
    )
