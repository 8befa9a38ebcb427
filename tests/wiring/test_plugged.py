"""A scan wired up gives the same tree, with the same numbers of sockets, as the rig file that describes it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.live.recordings.make import MACHINES
from tests.live.tools import build, recording
from topo.checks import scans
from topo.live.draft import draft
from topo.live.recording import read_scan
from topo.live.sysfs import scan
from topo.model.plugged import PluggedIn
from topo.model.rig import COMPUTER, Plug, socket_number
from topo.model.tree import Tree
from topo.pipeline import rig_of
from topo.rigfile.read import read_text
from topo.wiring.plugged import DEEPEST_CHAIN, plugged_in
from topo.wiring.topology import Topology


def declared(live: PluggedIn) -> tuple[Topology, dict[str, str]]:
    """The rig file begun from what is plugged in, wired, and its part for each thing."""
    topology = Topology(rig_of(read_text(draft(live.scan), "rig.yaml")))
    hubs = [thing.key for thing in live.things if thing.kind == "hub"]
    devices = [thing.key for thing in live.things if thing.kind == "device"]
    parts = [part.id for part in (*topology.rig.hubs, *topology.rig.devices)]
    return topology, {COMPUTER: COMPUTER, **dict(zip((*hubs, *devices), parts, strict=True))}


@pytest.mark.parametrize("name", sorted(MACHINES))
def test_declared_and_live_are_one_tree(name: str, tmp_path: Path) -> None:
    live = plugged_in(scan(str(build(recording(name), tmp_path))))
    topology, part = declared(live)
    for thing in live.things:
        plug = topology.rig.part(part[thing.key]).plug
        if thing.plug is None:
            assert plug is None
            continue
        assert plug == Plug(part[thing.plug.part], thing.plug.socket)
        assert plug.number == thing.plug.number
        assert plug.number in (None, thing.port)
        assert [part[key] for key in live.tree.path(thing.key)] == list(topology.tree.path(part[thing.key]))
    sockets = {socket.name: socket.speed for socket in topology.rig.computer.sockets}
    assert {each.socket.name: each.socket.speed for each in live.sockets} == sockets


def test_both_sides_of_a_hub_are_numbered_as_its_usb_2_side() -> None:
    """Real hubs number the ports of their two chips in different orders; the kernel tells which is which."""
    fast = scans.seen("2-1.4", 5000)
    ports = (scans.port("2-1", 4, peer=["1-1", 2]), scans.port("1-1", 2, peer=["2-1", 4]))
    live = plugged_in(read_scan(scans.scan(*scans.HUB3, fast, ports=ports)))
    thing = live.thing_of("2-1.4")
    assert thing is not None and thing.plug == Plug("1-1", "2")
    assert thing.port == 2


def test_names_of_sockets_tell_numbers() -> None:
    assert [socket_number(name) for name in ("3", "usb2-12", "usb3-1", "left", "", "٣", "1234")] == [
        3, 12, 1, None, None, None, None]
    assert Plug("hub", "7").number == 7
    assert Plug(COMPUTER, "usb3-1").number is None, "which socket of a computer is called 1 is nobody's to know"


def test_what_says_no_place_hangs_nowhere() -> None:
    whole = read_scan(scans.scan(scans.seen("1-1"), scans.hub("1-2"), scans.seen("1-2.1")))
    lost = replace(whole, sightings=tuple(replace(s, parent=None) if s.id == "1-2" else s for s in whole.sightings))
    live = plugged_in(lost)
    assert [thing.key for thing in live.below(None)] == ["1-2"]
    assert [thing.key for thing in live.below("1-2")] == ["1-2.1"]
    assert live.tree.wired == (COMPUTER, "1-1")
    nested = live.thing_of("1-2.1")
    assert nested is not None and live.root_of(nested) == ()
    assert live.tree.common_ancestor(["1-1", "1-2.1"]) is None
    assert live.tree.common_ancestor(["1-2", "1-2.1"]) == "1-2"


def test_a_chain_deeper_than_usb_is_cut() -> None:
    chain = [".".join(["1"] * depth) for depth in range(1, DEEPEST_CHAIN + 3)]
    live = plugged_in(read_scan(scans.scan(*(scans.hub(f"1-{ports}") for ports in chain))))
    assert len(live.below(None)) == 2
    assert len(live.things) == len(chain)


def test_a_circle_hangs_nowhere_and_nothing_runs_for_ever() -> None:
    """No system tells one; a hand-made scan may."""
    whole = read_scan(scans.scan(scans.hub("1-1"), scans.hub("1-2"), scans.seen("1-3")))
    swapped = {"1-1": "1-2", "1-2": "1-1"}
    turned = tuple(replace(seen, parent=swapped.get(seen.id, seen.parent)) for seen in whole.sightings)
    live = plugged_in(replace(whole, sightings=turned))
    assert {thing.key for thing in live.below(None)} == {"1-1", "1-2"}
    tree = Tree({"a": Plug("b", "1"), "b": Plug("a", "1"), "c": Plug("a", "2"), "d": Plug(COMPUTER, "x"), "e": None})
    assert tree.loops() == ("a", "b")
    assert set(tree.below("a")) == {"b", "c"}
    assert tree.wired == (COMPUTER, "d")
