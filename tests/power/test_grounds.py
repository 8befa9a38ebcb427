"""Grounds against networkx on random rigs; advice free first; what cuts a joint."""

from __future__ import annotations

import random

import networkx
import pytest

from topo.analysis.study import Study
from topo.model.finding import Finding
from topo.model.rig import Rig
from topo.pipeline import examiner, rig_of
from topo.power.grounds import data_cables, grounds
from topo.rigfile.read import read_text


def rig(seed: int) -> Rig:
    dice = random.Random(seed)
    supplies = [f"s{n}" for n in range(dice.randint(1, 5))]
    hubs, devices = [f"h{n}" for n in range(dice.randint(0, 3))], [f"d{n}" for n in range(dice.randint(1, 8))]
    above = ["computer"]
    text = "rig: Random\ncomputer: {os: linux}\nhubs:\n"
    for number, name in enumerate(hubs):
        extra = dice.choice(["", ", over: fibre", ", over: network", ", isolates: yes"])
        text += f"  {name}: {{plug: {dice.choice(above)}/{number + 1}, ports: 20{extra}}}\n"
        above.append(name)
    text = text if hubs else text.replace("hubs:\n", "")
    text += "devices:\n"
    for number, name in enumerate(devices):
        wired = dice.random() < 0.85
        text += f"  {name}: {{role: other{f', plug: {dice.choice(above)}/{number + 5}' if wired else ''}}}\n"
    ends = ["computer", *hubs, *devices]
    dice.shuffle(ends)
    fed = ends[: dice.randint(1, 9)]
    leads = [f"    l{n}: {{from: {dice.choice(supplies)}, to: {end}}}\n" for n, end in enumerate(fed)]
    text += "power:\n  supplies:\n" + "".join(f"    {name}: {{volts: 12}}\n" for name in supplies)
    return rig_of(read_text(text + "  leads:\n" + "".join(leads), "rig.yaml"))


def parts_of(graph: networkx.Graph[str], names: list[str]) -> set[tuple[str, ...]]:
    found = (tuple(name for name in names if name in group) for group in networkx.connected_components(graph))
    return {group for group in found if group}


@pytest.mark.parametrize("chunk", range(10))
def test_against_networkx_on_random_rigs(chunk: int) -> None:
    for seed in range(chunk * 30, chunk * 30 + 30):
        of = rig(seed)
        names = [supply.id for supply in of.supplies]
        leads: networkx.Graph[str] = networkx.Graph()
        leads.add_nodes_from([*names, *(part.id for part in of.parts)])
        leads.add_edges_from((lead.source, end) for lead in of.leads for end in lead.ends)
        found = grounds(of)
        assert set(found.groups) == parts_of(leads, names)
        both = leads.copy()
        both.add_edges_from(data_cables(of))
        whole = parts_of(both, names)
        # Each group that data cables make of several shows in a meeting, and no meeting is anywhere else.
        for group in whole:
            inside = [meet for meet in found.meets if set(meet.supplies) <= set(group)]
            assert (group in found.groups) is (not inside)
            assert not inside or max((meet.supplies for meet in inside), key=len) == group
        assert all(any(set(meet.supplies) <= set(group) for group in whole) for meet in found.meets)
        # A cable that joins what was joined closes a loop: so many as the number of components does not fall by.
        fell = networkx.number_connected_components(leads) - networkx.number_connected_components(both)
        assert len(found.loops) == len(data_cables(of)) - fell


def told(text: str) -> list[Finding]:
    of = Study(rig_of(read_text(text, "rig.yaml")))
    return [finding for finding in examiner()(of) if finding.name == "grounds-meet-in-data"]


TWO = """\
rig: Two supplies
computer: {os: linux}
hubs:
  far: {plug: computer/usb2-1, ports: 4}
devices:
  camera: {role: other, plug: far/1}
power:
  supplies: {desk: {volts: 12}, pier: {volts: 13}}
  leads: {one: {from: desk, to: computer}, two: {from: pier, to: camera}}
"""


def test_free_advice_comes_first_and_with_cautions() -> None:
    (finding,) = told(TWO)
    assert finding.severity == "risk" and finding.fix is not None
    text = finding.fix.text
    assert text.index("one supply") < text.index("before data") < text.index("isolator") < text.index("Mains supplies")


@pytest.mark.parametrize("cut", ["over: network", "over: fibre", "isolates: yes"])
def test_what_cuts_it(cut: str) -> None:
    assert told(TWO.replace("ports: 4", f"ports: 4, {cut}")) == []
    assert told(TWO.replace("one: {from: desk", "one: {from: pier")) == []
