"""The start list is a topological order, with times of the longest way: against networkx on random rigs."""

from __future__ import annotations

import random

import networkx
import pytest

from tests.cli.shell import topo
from topo.errors import RigFileError
from topo.pipeline import rig_of
from topo.place.startlist import start_list
from topo.rigfile.read import read_text


def text(seed: int) -> str:
    dice = random.Random(seed)
    names = [f"p{number}" for number in range(dice.randint(1, 12))]
    dice.shuffle(names)
    rows = []
    for number, name in enumerate(names):
        ready = f", ready_after_s: {dice.choice([5, 11, 17, 60])}" if dice.random() < 0.5 else ""
        after = f", after: {dice.choice(names[:number])}" if number and dice.random() < 0.5 else ""
        rows.append(f"  {name}: {{plug: {dice.choice(['hub', 'computer'])}/{number + 1}{ready}{after}}}")
    dice.shuffle(rows)
    return ("rig: Random\ncomputer: {os: linux}\nhubs:\n  hub: {plug: computer/99, ports: 20}\ndevices:\n"
            + "\n".join(rows) + "\n")  # fmt: skip


@pytest.mark.parametrize("chunk", range(6))
def test_a_topological_order_with_the_times_of_the_longest_way(chunk: int) -> None:
    for seed in range(chunk * 25, chunk * 25 + 25):
        rig = rig_of(read_text(text(seed), "rig.yaml"))
        graph: networkx.DiGraph[str] = networkx.DiGraph()
        graph.add_nodes_from(part.id for part in rig.parts)
        for part in rig.plugged:
            graph.add_edges_from((name, part.id) for name in (part.plug and part.plug.part, part.after) if name)
        steps = start_list(rig)
        order = {step.part: place for place, step in enumerate(steps)}
        assert len(order) == len(rig.parts)
        assert all(order[before] < order[after] for before, after in graph.edges)
        own = {part.id: part.facts.ready_after_s.value if part.kind == "device" and part.facts.ready_after_s else 0.0
               for part in rig.parts}
        for step in steps:
            ways = [own[name] for name in (*networkx.ancestors(graph, step.part), step.part)]
            assert step.at_s == max(ways)  # all have power at T, so times do not add up


RIG = """\
rig: A pier
computer: {os: linux, ways_in: [screen]}
devices:
  wheel: {role: filter-wheel, speed: full, plug: computer/usb2-1, ready_after_s: 60}
  mount: {role: mount, speed: full, plug: computer/usb2-2, ready_after_s: 10}
  focuser: {role: focuser, speed: full, plug: computer/usb2-3, after: mount}
"""


def test_it_stands_on_the_sheet(tmp_path: object) -> None:
    from pathlib import Path

    file = Path(str(tmp_path)) / "rig.yaml"
    file.write_text(RIG)
    said = topo("planb", str(file)).stdout.decode()
    assert "SWITCHING ON, IN THIS ORDER" in said
    for line in ("Connect wheel at T+60 s", "Connect mount at T+10 s", "Connect focuser at T+10 s, after mount"):
        assert line in said
    assert said.index("12 V on") < said.index("Connect mount") < said.index("Connect focuser")
    at_once = RIG.replace(", ready_after_s: 60", "").replace(", ready_after_s: 10", "").replace(", after: mount", "")
    file.write_text(at_once)
    assert "SWITCHING ON" not in topo("planb", str(file)).stdout.decode()


@pytest.mark.parametrize(("after", "words"), [("after: nobody", "nobody"), ("after: focuser", "wait for itself")])
def test_what_cannot_be_waited_for(after: str, words: str) -> None:
    with pytest.raises(RigFileError, match=words):
        read_text(RIG.replace("after: mount", after), "rig.yaml")
