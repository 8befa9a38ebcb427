"""Each single thing that can be done with a part, as it is made: where it may go, with which cable, what is bought."""

from __future__ import annotations

import pytest

from tests.mutations.test_planning_rules import small
from tests.place.random_rigs import rig_from
from topo.model.change import AddPart, MovePlug, Proposal, SetCable, SwapPlugs
from topo.model.facts import value_of
from topo.model.rig import Hub, Rig
from topo.place.proposals import cables, card_for, hub_for, moves, powered_in_place, swaps
from topo.wiring.bought import best_behind, bought_card, free_name, hub_speed
from topo.wiring.topology import Topology


def words(proposal: Proposal) -> str:
    """The steps of a proposal in a few words."""
    told = []
    for step in proposal.steps:
        if isinstance(step, MovePlug):
            told.append(f"{step.part} to {step.to_part}/{step.to_socket}")
        elif isinstance(step, SwapPlugs):
            told.append(f"{step.part} for {step.other}")
        elif isinstance(step, SetCable):
            length, grade = value_of(step.cable.length_m), value_of(step.cable.grade)
            told.append(f"cable of {step.part}: {length} {grade}{' active' if value_of(step.cable.active) else ''}")
        elif isinstance(step, AddPart) and isinstance(step.part, Hub):
            fast = value_of(step.part.facts.speed)
            told.append(f"{step.part.id} in {step.part.plug}, {fast}, {len(step.part.sockets)} sockets")
        else:
            told.append(type(step).__name__)
    return "; ".join(told)


def rows(found: object) -> list[str]:
    return [words(each) for each in found]  # type: ignore[attr-defined]


SEVERAL = """\
rig: r
computer:
  card_slots: SLOTS
  controllers: {a: {}, b: {}}
  ports:
    usb2-1: {speed: high, controller: a, usb2_bus: one}
    usb3-1: {speed: super, controller: a, usb2_bus: one}
    usb3-2: {speed: super, controller: a, usb2_bus: one}
    usb2-2: {speed: high, controller: b, usb2_bus: two}
    usb2-3: {speed: high, controller: b, usb2_bus: two}
hubs:
  hub: {speed: high, ports: 3, powered: true, plug: computer/usb2-1, cable: {length_m: 3}}
devices:
  main: {role: imaging, speed: super, plug: hub/1, cable: {LENGTH, grade: usb2}}
  slow: {role: focuser, speed: full, plug: hub/2MORE}
  line: {role: mount, plug: adapter/serial-1, serial: {baud: 9600}}
  adapter: {speed: full, serial_sockets: 2, plug: computer/usb2-2}
  none: {role: dew, interface: none}
"""


def several(length: str = "length_m: 2", more: str = "", slots: int = 1) -> Rig:
    return rig_from(SEVERAL.replace("LENGTH", length).replace("MORE", more).replace("SLOTS", str(slots)))


@pytest.mark.parametrize(("part", "length", "more", "wanted"), [
    # With 2 m at a hub 3 m off it is 1 to 5 m from the computer: to be tried, and at SuperSpeed with a cable of its
    # grade, of 3 m at most, since the one it has carries USB 2.
    ("main", "length_m: 2", "", [
        ("main to computer/usb3-1", True, False), ("main to computer/usb3-1; cable of main: 3.0 usb3", True, True),
        ("main to computer/usb2-3", True, False), ("main to hub/3", False, False)]),
    # With 0.5 m it is 2.5 m at least, and its own cable does not reach.
    ("main", "length_m: 0.5", "", [
        ("main to computer/usb3-1; cable of main: 3.0 usb3", True, True),
        ("main to computer/usb2-3; cable of main: 3.5 usb2", False, True), ("main to hub/3", False, False)]),
    # With a length that nobody said: whatever reaches.
    ("main", "gauge_awg: 24", "", [
        ("main to computer/usb3-1", False, False), ("main to computer/usb3-1; cable of main: None usb3", False, True),
        ("main to computer/usb2-3", False, False), ("main to hub/3", False, False)]),
    # Sockets that carry more than it can use come last.
    ("slow", "length_m: 2", "", [
        ("slow to computer/usb2-3", False, False), ("slow to hub/3", False, False),
        ("slow to computer/usb3-1", False, False)]),
    # A plug for a serial line fits no other; what uses no USB has none.
    ("line", "length_m: 2", "", [("line to adapter/serial-2", False, False)]),
    ("none", "length_m: 2", "", []),
    # Two of a kind in a hub are one; its own socket is none; nothing goes into itself.
    ("hub", "length_m: 2", "", [("hub to computer/usb3-1", False, False), ("hub to computer/usb2-3", False, False)]),
])
def test_where_a_part_may_go(
    part: str, length: str, more: str, wanted: list[tuple[str, bool, bool]],
) -> None:
    """The sockets in order, whether it has to be tried there, whether something is bought."""
    found = list(moves(Topology(several(length, more)), part))
    assert [(words(each), bool(each.to_try), bool(each.buys)) for each in found] == wanted


@pytest.mark.parametrize(("length", "there", "near"), [
    ("length_m: 2", [], True), ("gauge_awg: 24", [], True), ("length_m: 6", [], False), ("length_m: 12", [], False),
    ("length_m: 0.5", ["main to computer/usb3-1; cable of main: 5.5 usb3 active"], True),
])
def test_nothing_is_moved_to_the_end_of_a_long_leg(length: str, there: list[str], near: bool) -> None:
    """The hub is 5 m off. What hangs on it may need as much more as its own cable is long; a cable that is bought is
    one that surely reaches. A hub is bought for it where it is, unless its own cable leads elsewhere."""
    far = Topology(rig_from(SEVERAL.replace("length_m: 3", "length_m: 5").replace("LENGTH", length).replace(
        "MORE", "").replace("SLOTS", "1")))
    assert rows(moves(far, "main")) == [*there, "main to hub/3"]
    assert rows(swaps(far, "main", ("adapter",))) == [] == rows(card_for(far, "main"))
    assert rows(hub_for(far, "main")) == ["new-hub in hub/1, high, 4 sockets; main to new-hub/1"] * near


@pytest.mark.parametrize(("one", "other", "fits"), [
    ("main", "slow", True), ("slow", "main", True), ("main", "adapter", True), ("hub", "adapter", True),
    ("hub", "main", False), ("main", "hub", False), ("line", "main", False), ("main", "line", False),
    ("adapter", "line", False), ("main", "none", False), ("none", "main", False), ("main", "main", False),
])
def test_which_plugs_change_places(one: str, other: str, fits: bool) -> None:
    """Both wired, neither on the other, each of the kind of the other's socket."""
    found = rows(swaps(Topology(several("length_m: 4")), one, (other,)))
    assert found == ([f"{one} for {other}"] if fits else [])


@pytest.mark.parametrize(("length", "to_try", "fits"), [
    ("length_m: 0.5", 0, False), ("length_m: 2", 1, True), ("gauge_awg: 24", 0, True),
])
def test_a_swap_needs_both_cables_to_reach(length: str, to_try: int, fits: bool) -> None:
    """The adapter's cable is not known, and not asked after; the main camera's is tried, or too short."""
    found = list(swaps(Topology(several(length)), "main", ("adapter",)))
    assert bool(found) == fits and all(len(each.to_try) == to_try for each in found)


@pytest.mark.parametrize(("cable", "plug", "wanted"), [
    ("length_m: 2, grade: usb2", "usb3-1", ["cable of d: 2.0 usb3"]),
    ("grade: usb2", "usb3-1", ["cable of d: None usb3"]),
    ("length_m: 2, grade: usb2", "usb2-1", []), ("length_m: 2, grade: usb3", "usb3-1", []),
    ("length_m: 5", "usb2-1", []), ("length_m: 5.5", "usb2-1", ["cable of d: 5.0 None", "cable of d: 5.5 None active"]),
    ("length_m: 6.25, grade: usb2", "usb2-1", ["cable of d: 5.0 usb2", "cable of d: 6.25 usb2 active"]),
    ("length_m: 6.3", "usb2-1", ["cable of d: 6.3 None active"]), ("length_m: 26", "usb2-1", []),
    ("length_m: 25", "usb2-1", ["cable of d: 25.0 None active"]), ("length_m: 6, active: true", "usb2-1", []),
    ("length_m: 3.5", "usb3-1", ["cable of d: 3.0 usb3", "cable of d: 3.5 usb3 active"]),
    ("length_m: 10", "usb3-1", ["cable of d: 10.0 usb3 active"]), ("length_m: 11", "usb3-1", []),
    ("gauge_awg: 28", "usb3-1", []),
])
def test_which_other_cable_may_help(cable: str, plug: str, wanted: list[str]) -> None:
    """One of USB 3 for one of USB 2 grade; of 5 m (3 m at SuperSpeed) for one up to a quarter longer; an active one up
    to 25 m (10 m)."""
    topology = Topology(rig_from(
        "rig: r\ncomputer: {ports: {usb2-1: {speed: high}, usb3-1: {speed: super}}}\n"
        f"devices: {{d: {{role: imaging, speed: super, plug: computer/{plug}, cable: {{{cable}}}}}}}\n"))
    assert rows(cables(topology, "d")) == wanted


@pytest.mark.parametrize(("facts", "wanted"), [
    ("", ["cable of hub: 5.0 None", "cable of hub: 6.0 None active"]), (", over: network", []),
])
def test_a_hub_has_a_cable_too_and_an_extender_none(facts: str, wanted: list[str]) -> None:
    topology = Topology(rig_from(
        "rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\n"
        f"hubs: {{hub: {{speed: high, ports: 3, plug: computer/usb2-1, cable: {{length_m: 6}}{facts}}}}}\n"
        "devices: {d: {speed: full, plug: hub/1}}\n"))
    assert rows(cables(topology, "hub")) == wanted


@pytest.mark.parametrize(("part", "socket", "fits"), [
    ("one", "computer/usb2-2", False), ("two", "computer/usb2-2", True), ("wheel", "five/2", True),
    ("wheel", "six/2", False), ("six", "four/2", True), ("six", "three/2", True), ("five", "four/2", False),
])
def test_no_more_than_five_hubs_in_a_row(part: str, socket: str, fits: bool) -> None:
    """Six in a row are one too many, wherever they begin; a part above its own place counts what it brings along."""
    assert (f"{part} to {socket}" in rows(moves(Topology(small("deep")), part))) == fits


@pytest.mark.parametrize(("part", "wanted"), [
    # In place, and then in each free socket of the computer that is of another controller, bus or speed.
    ("main", ["new-hub in hub/1, high, 4 sockets; main to new-hub/1",
              "new-hub in computer/usb3-1, super, 4 sockets; main to new-hub/1",
              "new-hub in computer/usb2-3, high, 4 sockets; main to new-hub/1"]),
    ("slow", ["new-hub in hub/2, high, 4 sockets; slow to new-hub/1",
              "new-hub in computer/usb3-1, high, 4 sockets; slow to new-hub/1",
              "new-hub in computer/usb2-3, high, 4 sockets; slow to new-hub/1"]),
    ("adapter", ["new-hub in computer/usb2-2, high, 4 sockets; adapter to new-hub/1",
                 "new-hub in computer/usb3-1, high, 4 sockets; adapter to new-hub/1"]),
    ("hub", []), ("line", []), ("none", []),
])
def test_where_a_hub_may_be_bought_for_a_part(part: str, wanted: list[str]) -> None:
    assert rows(hub_for(Topology(several("length_m: 3")), part)) == wanted


@pytest.mark.parametrize(("part", "more", "fast"), [
    ("main", "", True), ("slow", "", False), ("slow", ", bus_ma: 500", False), ("slow", ", bus_ma: 501", True),
    ("hub", ", bus_ma: 501", True), ("hub", "", True), ("adapter", "", False),
])
def test_a_hub_is_as_fast_as_its_chain_can_use(part: str, more: str, fast: bool) -> None:
    """And one of USB 3, which gives more, where a part draws more than USB 2 gives."""
    rig = several("length_m: 2", more)
    topology = Topology(rig)
    socket = rig.computer.socket("usb3-1")
    assert socket is not None
    assert hub_speed(topology, (part,), "computer", socket).is_superspeed == fast
    assert best_behind(topology, "hub").word == "super" and best_behind(topology, "slow").word == "full"


@pytest.mark.parametrize(("slots", "part", "length", "fits"), [
    (1, "main", "length_m: 3", True), (0, "main", "length_m: 3", False), (1, "main", "length_m: 0.5", False),
    (1, "none", "length_m: 3", False), (1, "line", "length_m: 3", False), (2, "adapter", "length_m: 3", True),
])
def test_a_card_goes_into_a_slot_that_is_known_to_be_free(slots: int, part: str, length: str, fits: bool) -> None:
    found = list(card_for(Topology(several(length, slots=slots)), part))
    assert rows(found) == ([f"AddCard; {part} to computer/card-1"] if fits else [])


def test_what_is_bought_has_a_name_of_its_own() -> None:
    """The first that nobody has."""
    rig = several()
    assert free_name(rig) == "new-hub"
    named = rig_from(SEVERAL.replace("LENGTH", "length_m: 2").replace("MORE", "").replace("SLOTS", "1").replace(
        "slow:", "new-hub:").replace("none:", "new-hub1:").replace("usb2-2", "card-1").replace("b: {}", "card-3: {}"
        ).replace("controller: b", "controller: card-3"))
    assert free_name(named) == "new-hub2"
    assert [socket.name for socket in bought_card(rig.computer).sockets] == [f"card-{n}" for n in (1, 2, 3, 4)]
    card = bought_card(named.computer)
    assert [socket.name for socket in card.sockets] == [f"card-{n}" for n in (2, 4, 5, 6)]
    assert [socket.controller for socket in card.sockets] == [each.name for each in card.controllers]


def test_a_hub_in_place_of_another_keeps_its_place() -> None:
    """Its socket, its cable, its sockets; as fast as what hangs on it."""
    rig = rig_from(SEVERAL.replace("powered: true", "powered: false").replace("LENGTH", "length_m: 2").replace(
        "MORE", "").replace("SLOTS", "0"))
    assert rows(powered_in_place(Topology(rig), "hub")) == ["hub in computer/usb2-1, high, 3 sockets"]
    [proposal] = powered_in_place(Topology(rig), "hub")
    [step] = proposal.steps
    assert isinstance(step, AddPart) and step.part.cable == rig.part("hub").cable
    assert rows(powered_in_place(Topology(several()), "hub")) == [] == rows(powered_in_place(Topology(rig), "slow"))


def test_what_hangs_on_nothing_is_moved_nowhere() -> None:
    """A camera on a hub that has no plug, the hub itself, and a part that is nowhere."""
    topology = Topology(rig_from(
        "rig: r\ncomputer: {card_slots: 1, ports: {usb2-1: {speed: high}, usb2-2: {speed: high}}}\n"
        "hubs: {hub: {speed: high, ports: 3}}\ndevices:\n  d: {speed: full, plug: hub/1, cable: {length_m: 9}}\n"
        "  e: {speed: full}\n  f: {speed: full, plug: computer/usb2-1}\n"))
    for name in ("d", "hub", "e"):
        assert rows(moves(topology, name)) == [] == rows(hub_for(topology, name))
        assert rows(card_for(topology, name)) == []
        assert rows(swaps(topology, name, ("f",))) == [] == rows(swaps(topology, "f", (name,)))
        assert rows(cables(topology, name)) == []
