"""The worst coincidence where all wait: followed from end to end against the clockwork that follows buffers too."""

from __future__ import annotations

import math
from random import Random

import pytest

from topo.model.night import Discipline
from topo.model.traffic import Use
from topo.night import meet
from topo.night.channels import Moving


def drawn(pick: Random) -> tuple[list[Moving], dict[str, float], dict[str, float]]:
    """Flows on a few links, what these carry, and the bytes of each burst."""
    links = [f"link{number}" for number in range(pick.choice((1, 1, 2, 4)))]
    flows, sizes = [], {}
    for number in range(pick.randint(1, 6)):
        uses = tuple(Use(name, pick.choice((1e-8, 2.5e-8))) for name in links if pick.random() < 0.7) or (
            Use(links[0], 1e-8),)
        steady = pick.random() < 0.3
        cap = pick.choice((4e6, 37e6, 100e6, math.inf)) if not steady else pick.choice((1e5, 2e7))
        flows.append(Moving(f"flow{number}", cap, pick.choice((1.0, 512.0)), uses, math.inf, steady,
                            pick.random() < 0.4))
        if not steady:
            sizes[f"flow{number}"] = pick.choice((0.0, 2e6, 2e6, 50e6, 1e8 * pick.random()))
    return flows, {name: pick.choice((0.0, 0.6, 0.9)) if pick.random() < 0.2 else 0.8 for name in links}, sizes


@pytest.mark.parametrize("discipline", ["fair", "last"])
def test_waiting_is_what_the_clockwork_makes_of_it_without_buffers(discipline: Discipline) -> None:
    pick = Random(f"meet {discipline}")
    for _ in range(300):
        flows, capacities, sizes = drawn(pick)
        waiting = meet._waiting(flows, capacities, {flow.name: sizes.get(flow.name, 0.0) for flow in flows}, discipline)
        stage = meet._losing(flows, capacities, sizes, discipline)
        for flow in flows:
            if not flow.steady:
                assert waiting.get(flow.name, meet.THROUGH) == stage[flow.name], (flows, capacities, sizes)


def test_whose_flows_they_are_does_not_matter() -> None:
    """Two of 1 MB at 40 MB/s share a link of 25 MB/s: both are through after 80 ms, whatever they are called."""
    use = (Use("bus", 1 / 25e6),)
    for one, other in (("a", "b"), ("b", "a")):
        flows = [Moving(one, 40e6, 1.0, use), Moving(other, 40e6, 1.0, use)]
        found = meet.meeting_of(flows, {"bus": 1.0}, {"a": 1e6, "b": 1e6}, "last")
        assert list(found) == [one, other]
        assert [met.took_s for met in found.values()] == pytest.approx([0.08, 0.08])
