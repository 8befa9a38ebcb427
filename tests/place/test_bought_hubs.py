"""A hub that is bought is what its chain needs: USB 3 where something on it can use that and the socket carries it,
whatever is put on it first."""

from __future__ import annotations

import pytest

from tests.place.brute_frontier import TooMany, brute_frontier
from tests.place.frontiers import beaten, point
from tests.place.random_rigs import EXAMINER, random_text, rig_from, whole_text
from topo.analysis.study import Study
from topo.model.change import AddPart, MovePlug, Proposal
from topo.model.facts import value_of
from topo.model.finding import in_order
from topo.model.rig import Hub
from topo.place.combine import joined
from topo.place.frontier import frontier
from topo.place.judge import done
from topo.place.proposals import hub_for, powered_in_place, raised
from topo.wiring.bought import bought_hub, hub_speed, hub_words
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


@pytest.mark.parametrize("seed", range(0, 60, 2))
def test_the_kind_follows_all_that_are_put_on_it(seed: int) -> None:
    topology = Topology(rig_from(random_text(seed)))
    for name in topology.wired[1:]:
        for first in hub_for(topology, name):
            for other in topology.wired[1:]:
                if other == name or topology.part(other).kind == "hub" or name in topology.below(other):
                    continue
                both = raised(topology, joined(first, Proposal((MovePlug(other, bought(first).id, "2"),))))
                hub = bought(both)
                assert hub.plug is not None
                socket = topology.part(hub.plug.part).socket(hub.plug.socket)
                assert socket is not None
                speed = hub_speed(topology, (name, other), hub.plug.part, socket)
                same = bought_hub(hub.id, hub.plug, speed=speed)
                assert (hub.facts, hub.sockets, hub.cable) == (same.facts, same.sockets, same.cable)
                assert both.buys[0].startswith(hub_words(speed)) and both.buys[1:] == first.buys[1:]
                assert both.plugs == 2 and done(topology.rig, both).part(hub.id) == hub


@pytest.mark.parametrize("text", [random_text(24), whole_text(24, 8)])
def test_a_hub_whose_second_part_is_the_faster_is_found(text: str) -> None:
    study = Study(rig_from(text))
    plans = frontier(study, in_order(EXAMINER(study)), EXAMINER).plans
    both = [plan for plan in plans if plan.proposal.buys and plan.proposal.plugs == 2]
    assert any(bought(plan.proposal).inner_speed.is_superspeed for plan in both)


@pytest.mark.parametrize("seed", [1, 4, 7, 24, 39])
def test_no_plan_with_a_hub_of_either_kind_is_lost(seed: int) -> None:
    rig = rig_from(whole_text(seed, 2))
    study = Study(rig)
    found = {point(plan) for plan in frontier(study, in_order(EXAMINER(study)), EXAMINER).plans}
    try:
        wanted = brute_frontier(rig, 3, 1_500)
    except TooMany:
        wanted = brute_frontier(rig, 2, 1_500)
    assert all(beaten(each, found) for each in wanted)
