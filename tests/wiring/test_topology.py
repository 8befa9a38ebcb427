"""Paths, the two sides, the speed a device gets and what limits it; held against networkx as an independent walker."""

from __future__ import annotations

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.facts import facts
from topo.errors import CommandError
from topo.model.facts import value_of
from topo.model.records import CableFacts, DeviceFacts, HubFacts
from topo.model.rig import COMPUTER, Computer, Device, Hub, Plug, Rig, Socket
from topo.model.speed import Speed
from topo.wiring.topology import Topology


def computer(*sockets: Socket) -> Computer:
    return Computer(sockets=sockets)


def hub(
    name: str, plug: str, speed: str = "super", ports: int = 4, cable: CableFacts = CableFacts(), **more: object
) -> Hub:
    above, socket = plug.split("/")
    sockets = tuple(Socket(str(n), Speed.from_word(speed)) for n in range(1, ports + 1))
    return Hub(
        id=name, plug=Plug(above, socket), sockets=sockets, facts=facts(HubFacts, speed=speed, **more), cable=cable
    )


def device(
    name: str, plug: str, speed: str = "super", cable: CableFacts = CableFacts(), **more: object
) -> Device:
    above, socket = plug.split("/")
    sockets = tuple(Socket(f"usb2-{n}", Speed.HIGH) for n in range(1, int(str(more.get("hub_ports", 0))) + 1))
    return Device(
        id=name,
        plug=Plug(above, socket),
        facts=facts(DeviceFacts, speed=speed, **more),
        cable=cable,
        sockets=sockets,
    )


PORTS = (
    Socket("usb3-1", Speed.SUPER, controller="a", usb2_bus="one"),
    Socket("usb3-2", Speed.SUPER_PLUS, controller="a"),
    Socket("usb2-1", Speed.HIGH, controller="b", usb2_bus="two"),
    Socket("serial-1", Speed.FULL, kind="serial"),
)


def rig(*parts: Hub | Device) -> Rig:
    return Rig(
        "r",
        "r.yaml",
        computer(*PORTS),
        tuple(p for p in parts if p.kind == "hub"),
        tuple(p for p in parts if p.kind == "device"),
    )


USB2 = facts(CableFacts, grade="usb2")


@pytest.mark.parametrize(
    ("parts", "speed", "element", "culprit"),
    [
        ([device("d", "computer/usb3-1")], Speed.SUPER, None, None),
        ([device("d", "computer/usb2-1")], Speed.HIGH, "port", "d"),
        ([device("d", "computer/usb3-1", cable=USB2)], Speed.HIGH, "cable", "d"),
        ([hub("h", "computer/usb3-1"), device("d", "h/1")], Speed.SUPER, None, None),
        ([hub("h", "computer/usb3-1", "high"), device("d", "h/1")], Speed.HIGH, "hub", "h"),
        ([hub("h", "computer/usb3-1", cable=USB2), device("d", "h/1")], Speed.HIGH, "cable", "h"),
        ([hub("h", "computer/usb2-1"), device("d", "h/1")], Speed.HIGH, "port", "h"),
        ([hub("h", "computer/usb3-1"), hub("g", "h/1", "high"), device("d", "g/1")], Speed.HIGH, "hub", "g"),
        ([hub("h", "computer/usb2-1", "full"), device("d", "h/1", "high")], Speed.FULL, "hub", "h"),
        ([device("d", "computer/usb3-2", "super-plus")], Speed.SUPER_PLUS, None, None),
        ([device("d", "computer/usb3-1", "super-plus")], Speed.SUPER, "port", "d"),
        # a USB 2 leg first, then a hub: the first element from the computer down is named
        ([hub("h", "computer/usb3-1", "high", cable=USB2), device("d", "h/1", cable=USB2)], Speed.HIGH, "cable", "h"),
    ],
)
def test_speed_and_what_limits_it(
    parts: list[Hub | Device], speed: Speed, element: str | None, culprit: str | None
) -> None:
    topology = Topology(rig(*parts))
    assert topology.speed("d") is speed
    limit = topology.limit("d")
    assert (limit.element if limit else None, limit.part if limit else None) == (element, culprit)


def test_a_camera_s_own_hub_is_usb_2_even_under_superspeed() -> None:
    topology = Topology(
        rig(device("cam", "computer/usb3-1", hub_ports=2, hub_speed="high"), device("guide", "cam/usb2-1"))
    )
    assert topology.speed("cam") is Speed.SUPER
    assert topology.speed("guide") is Speed.HIGH
    assert topology.usb2_bus("guide") == topology.usb2_bus("cam") == ("usb2:a/one", False)
    assert topology.hubs_above("guide") == ("cam",)


def test_bus_is_assumed_where_nobody_said() -> None:
    topology = Topology(rig(device("d", "computer/usb3-2")))
    assert topology.usb2_bus("d") == ("usb2:a", True)


def test_translators() -> None:
    one = hub("one", "computer/usb2-1", "high", translators="one")
    each = hub("each", "one/1", "high", translators="per-port")
    old = hub("old", "each/2", "full")
    slow = [
        device(n, p, "full") for n, p in [("a", "one/2"), ("b", "each/1"), ("c", "old/1"), ("d", "computer/usb3-1")]
    ]
    topology = Topology(rig(one, each, old, *slow, device("fast", "each/3", "high")))
    assert topology.translator("a").id == "translator:one"  # type: ignore[union-attr]
    assert topology.translator("b").id == "translator:each/1"  # type: ignore[union-attr]
    # a full-speed hub has none: what hangs on it is served by the high-speed hub above (USB 2.0 11.14)
    assert topology.translator("c").id == "translator:each/2"  # type: ignore[union-attr]
    assert topology.translator("d").id == "translator:computer/usb3-1"  # type: ignore[union-attr]
    assert topology.translator("fast") is None


def test_serial_leads_have_no_usb_speed_of_their_own() -> None:
    adapter = Device(
        id="adapter",
        plug=Plug(COMPUTER, "usb2-1"),
        facts=facts(DeviceFacts, speed="full"),
        sockets=(Socket("serial-1", Speed.FULL, kind="serial"),),
    )
    mount = Device(
        id="mount", role="mount", plug=Plug("adapter", "serial-1"), facts=facts(DeviceFacts, speed="full")
    )
    topology = Topology(rig(adapter, mount))
    assert topology.speed("mount") is None
    assert [leg.plug for leg in topology.path("mount")] == ["adapter/serial-1", "computer/usb2-1"]
    assert topology.hubs_above("mount") == ()


def test_loops_are_refused() -> None:
    with pytest.raises(CommandError, match="loop"):
        Topology(rig(hub("a", "b/1"), hub("b", "a/1")))


@st.composite
def trees(draw: st.DrawFn) -> Rig:
    """Random rigs of hubs and devices, on sockets that may be shared or unwired."""
    count = draw(st.integers(0, 12))
    parts: list[Hub | Device] = []
    for n in range(count):
        above = draw(st.sampled_from([COMPUTER, *(p.id for p in parts if p.kind == "hub")]))
        socket = draw(st.sampled_from(["usb3-1", "usb2-1", "usb3-2"] if above == COMPUTER else ["1", "2", "3", "4"]))
        speed = draw(st.sampled_from(["high", "super"]))
        cable = draw(st.sampled_from([CableFacts(), USB2, facts(CableFacts, active=True)]))
        make = draw(st.sampled_from([hub, device]))
        parts.append(make(f"p{n}", f"{above}/{socket}", speed, cable=cable))
    return rig(*parts)


@settings(deadline=None)  # networkx is imported by the first example
@given(trees())
def test_the_tree_is_what_networkx_sees(made: Rig) -> None:
    topology = Topology(made)
    graph = topology.graph
    assert networkx.is_arborescence(graph)
    for part in made.parts[1:]:
        way = networkx.shortest_path(graph, COMPUTER, part.id)
        hops = [node for node in way if graph.nodes[node]["kind"] in ("hub", "device")]
        assert hops == [leg.part for leg in reversed(topology.path(part.id))]
        below = {
            node for node in networkx.descendants(graph, part.id) if graph.nodes[node]["kind"] in ("hub", "device")
        }
        assert set(topology.below(part.id)) == below
    ids = [part.id for part in made.parts[1:]]
    if len(ids) >= 2:
        expected = networkx.lowest_common_ancestor(graph, ids[0], ids[-1])
        found = topology.common_ancestor([ids[0], ids[-1]])
        while graph.nodes[expected]["kind"] in ("port", "controller"):
            expected = next(iter(graph.predecessors(expected)))
        assert found == expected


@given(trees())
def test_speed_is_the_least_of_every_leg(made: Rig) -> None:
    """The rule, written another way: SuperSpeed only if all elements carry it, else the USB 2 side."""
    topology = Topology(made)
    for part in made.parts[1:]:
        legs = topology.path(part.id)
        every = all(
            leg.socket.speed.is_superspeed
            and value_of(leg.cable.grade) != "usb2"
            and value_of(made.part(leg.part).own_speed) == "super"
            for leg in legs
        )
        assert topology.speed(part.id) is (Speed.SUPER if every else Speed.HIGH)
        limited = topology.limit(part.id) is not None
        assert limited == (value_of(made.part(part.id).own_speed) == "super" and not every)
