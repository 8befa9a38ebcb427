"""Which parts a finding hangs on: as long as none of them moves, it stays.

What a finding names, the way from there up to the computer, and what hangs on it decide speed, depth, power and cable.
Loads are decided by everything that moves data or reserves time on the same links, directly or through others, and by
the hubs those hang on. Moving any other part can only bring more onto these links, and more traffic gives nobody more
room: links of a rig form a tree, so whatever slows one of the sharers below a link uses that link as well. (A sharer
slowed on the other direction of an uplink alone would be an exception; an uplink has room for a dozen of what a USB 2
bus carries.) The tests hold this against trying every set of moves.
"""

from __future__ import annotations

from collections.abc import Iterator

from topo.analysis.study import Study
from topo.model.finding import Finding
from topo.model.rig import COMPUTER
from topo.usb.periodic import reservations


def depends_on(study: Study, finding: Finding, all_parts: frozenset[str]) -> frozenset[str]:
    """Parts one of which has to move for a finding to go; `all_parts` where it names the computer."""
    named = (finding.part, *finding.others)
    if COMPUTER in named:
        return all_parts
    topology = study.topology
    found: set[str] = set()
    for name in named:
        if topology.leg(name) is not None:
            found.update(topology.below(name))
    for name in (*named, *_sharing(study, named)):
        found.add(name)
        found.update(leg.part for leg in topology.path(name))
    return frozenset(found)


def _sharing(study: Study, named: tuple[str, ...]) -> Iterator[str]:
    """Parts that move data or reserve time on links of the named parts, or on links of such parts, and so on."""
    mine = set(named)
    links: set[str] = set()
    flows = [(flow.device, {use.resource for use in flow.uses}) for flow in study.traffic.flows]
    grows = True
    while grows:
        grows = False
        for device, uses in flows:
            if device in mine and not uses <= links:
                links |= uses
                grows = True
            if device not in mine and uses & links:
                mine.add(device)
                grows = True
    yield from (device for device, _ in flows if device in mine)
    for part in study.rig.devices:
        speed = study.topology.speed(part.id)
        if speed is None or speed.is_superspeed or part.id in mine:
            continue
        kept = reservations(part.facts, speed)
        bus, translator = study.topology.usb2_bus(part.id), study.topology.translator(part.id)
        on = {bus[0] if bus else "", translator.id if translator else ""}
        if (kept.own_bus or kept.high_speed_bus) and on & links:
            yield part.id
