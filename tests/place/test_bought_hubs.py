"""A hub that is bought is what its chain needs: USB 3 where something on it can use that and the socket carries it."""

from __future__ import annotations

import pytest

from tests.place.random_rigs import rig_from
from topo.model.change import AddPart, Proposal
from topo.model.facts import value_of
from topo.model.rig import Hub
from topo.place.proposals import hub_for, powered_in_place
from topo.wiring.instructions import instructions
from topo.wiring.topology import Topology

RIG = """\
rig: One chain
computer:
  controllers: {{one: {{}}}}
  ports: {{a: {{controller: one, speed: {socket}, usb2_bus: one}}, b: {{controller: one, speed: high, usb2_bus: two}}}}
hubs:
  hub: {{speed: {hub}, ports: 4, powered: false, plug: computer/a}}
devices:
  one: {{role: other, speed: {device}, bus_ma: {bus_ma}, plug: hub/1}}
  other: {{role: other, speed: full, plug: hub/2}}
"""


def bought(proposal: Proposal) -> Hub:
    (hub,) = (step.part for step in proposal.steps if isinstance(step, AddPart))
    assert isinstance(hub, Hub)
    return hub


@pytest.mark.parametrize(
    ("socket", "hub", "device", "bus_ma", "in_place", "on_hub"),
    [
        ("super", "super", "super", 400, 3, 3),
        ("super", "super", "high", 400, 3, 2),  # like for like; the device alone needs less
        ("super", "high", "high", 400, 2, 2),
        ("super", "high", "super", 400, 3, 2),  # in the socket of the old hub a new one carries more than on it
        ("high", "high", "high", 400, 2, 2),
        ("high", "high", "super", 400, 2, 2),
        ("high", "high", "high", 800, 3, 3),  # more current than a socket of a USB 2 hub gives
    ],
)
def test_no_more_than_the_chain_can_use(
    socket: str, hub: str, device: str, bus_ma: int, in_place: int, on_hub: int
) -> None:
    topology = Topology(rig_from(RIG.format(socket=socket, hub=hub, device=device, bus_ma=bus_ma)))
    (instead,) = powered_in_place(topology, "hub")
    assert instead.buys == (f"a powered USB {in_place} hub in place of hub",)
    first, *others = hub_for(topology, "one")
    assert first.buys == (f"a powered USB {on_hub} hub for hub/1",)
    assert f"a powered USB {on_hub} hub" in " ".join(instructions(first)).replace("Put a", "a")
    for proposal, generation in ((instead, in_place), (first, on_hub)):
        new = bought(proposal)
        assert value_of(new.facts.speed) == {2: "high", 3: "super"}[generation]
        assert value_of(new.facts.port_ma) == {2: 500, 3: 900}[generation]
        assert all(each.speed.is_superspeed == (generation == 3) for each in new.sockets)
    assert others and all(each.buys[0].startswith("a powered USB ") for each in others)
