"""Changes of a rig: the new one is changed in that one place, the old one not at all."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.facts import facts
from topo.errors import CommandError
from topo.model.change import AddPart, Change, MovePlug, SetCable, SetLead, SetSupply, SetUse, SwapPlugs
from topo.model.facts import Fact
from topo.model.records import CableFacts
from topo.model.rig import Device, Hub, Part, Plug, Rig
from topo.pipeline import rig_of
from topo.rigfile.read import read_text
from topo.wiring.apply import apply
from topo.wiring.resolve import resolve
from topo.wiring.topology import Topology

TEXT = """rig: A
computer: {ports: {usb3-1: {}, usb2-1: {}}}
hubs:
  h: {ports: 3, speed: super, plug: computer/usb3-1}
devices:
  a: {role: imaging, speed: super, plug: h/1, cable: {length_m: 1, grade: usb3}, use: {exposure_s: 60, gap_s: 1}}
  b: {role: guiding, speed: high, plug: computer/usb2-1}
  c: {role: other}
"""


class NoProfiles:
    def profile(self, name: str) -> None:
        return None

    def profile_names(self) -> tuple[str, ...]:
        return ()


@pytest.fixture
def rig() -> Rig:
    return resolve(read_text(TEXT, "rig.yaml"), NoProfiles())


def others(rig: Rig, *but: str) -> tuple[Part, ...]:
    return tuple(part for part in rig.parts if part.id not in but)


def test_a_plug_moves_and_nothing_else(rig: Rig) -> None:
    after = apply(rig, MovePlug("b", "h", "3"))
    assert after.part("b").plug == Plug("h", "3")
    assert after.part("b") == replace(rig.part("b"), plug=Plug("h", "3"))
    assert others(after, "b") == others(rig, "b")
    assert rig.part("b").plug == Plug("computer", "usb2-1")
    moved, old = after.part("b").plug, rig.part("b").plug
    assert moved is not None and old is not None and moved.place == old.place


def test_a_part_that_was_nowhere_gets_a_plug(rig: Rig) -> None:
    plug = apply(rig, MovePlug("c", "h", "2")).part("c").plug
    assert plug == Plug("h", "2") and plug is not None and plug.place == rig.part("c").place


def test_plugs_are_swapped(rig: Rig) -> None:
    after = apply(rig, SwapPlugs("a", "b"))
    assert (after.part("a").plug, after.part("b").plug) == (rig.part("b").plug, rig.part("a").plug)
    assert after.part("a").cable == rig.part("a").cable
    assert apply(after, SwapPlugs("a", "b")) == rig
    assert apply(after, SwapPlugs("b", "a")) == rig


def test_a_cable_and_a_setting(rig: Rig) -> None:
    cable = facts(CableFacts, length_m=2, grade="usb2")
    assert apply(rig, SetCable("a", cable)).part("a").cable == cable
    after = apply(rig, SetUse("a", "exposure_s", 5)).device("a")
    assert after.use.exposure_s == Fact(5, "declared") and after.use.gap_s == rig.device("a").use.gap_s


def test_a_part_is_added_at_the_end_of_its_kind(rig: Rig) -> None:
    assert [p.id for p in apply(rig, AddPart(Device(id="new"))).parts] == ["computer", "h", "a", "b", "c", "new"]
    assert [p.id for p in apply(rig, AddPart(Hub(id="new"))).parts] == ["computer", "h", "new", "a", "b", "c"]


def test_what_was_measured_of_a_leg_is_forgotten_with_the_leg(rig: Rig) -> None:
    for name in ("a", "b"):
        rig = rig.with_part(replace(rig.part(name), leg_speed=Fact("high", "measured")))
    assert apply(rig, MovePlug("a", "h", "2")).part("a").leg_speed is None
    assert apply(rig, SetCable("a", CableFacts())).part("a").leg_speed is None
    swapped = apply(rig, SwapPlugs("a", "b"))
    assert all(swapped.part(name).leg_speed is None for name in ("a", "b"))
    assert apply(rig, SetUse("a", "exposure_s", 5)).part("a").leg_speed is not None
    assert apply(rig, MovePlug("a", "h", "2")).part("b").leg_speed is not None


@pytest.mark.parametrize(("change", "message"), [
    (MovePlug("nobody", "h", "1"), "no part is called nobody"),
    (MovePlug("a", "nobody", "1"), "no part is called nobody"),
    (MovePlug("a", "h", "4"), "h has no socket 4"),
    (MovePlug("a", "b", "usb2-1"), "b has no socket usb2-1"),
    (SwapPlugs("a", "x\x1b\u202e"), r"no part is called x\x1b\u202e"),
    (SetCable("nobody", CableFacts()), "no part is called nobody"),
    (SetUse("nobody", "bin", 2), "no part is called nobody"),
    (SetUse("h", "bin", 2), "h has no setting bin"),
    (SetUse("a", "binning", 2), "a has no setting binning"),
])  # fmt: skip
def test_changes_that_name_nothing_are_refused(rig: Rig, change: Change, message: str) -> None:
    with pytest.raises(CommandError) as caught:
        apply(rig, change)
    assert str(caught.value) == message


def test_a_plug_into_what_hangs_on_it_is_a_loop(rig: Rig) -> None:
    after = apply(rig, MovePlug("h", "h", "2"))
    with pytest.raises(CommandError, match="in a loop: h"):
        Topology(after)


def test_wire_fuse_and_supply_change() -> None:
    rig = rig_of(read_text(
        "rig: T\ncomputer: {}\ndevices: {a: {}}\npower:\n  supplies: {s: {volts: 12, amps: 3}}\n"
        "  leads: {l: {from: s, to: a, length_m: 2, area_mm2: 1}}\n", "x"
    ))  # fmt: skip
    [lead] = apply(rig, SetLead("l", "gauge_awg", 14)).leads
    assert (lead.facts.gauge_awg, lead.facts.area_mm2) == (Fact(14, "declared"), None)
    [lead] = apply(rig, SetLead("l", "fuse_amps", 5.0)).leads
    assert lead.facts.fuse_amps == Fact(5.0, "declared") and lead.facts.area_mm2 is not None
    assert apply(rig, SetSupply("s", "volts", 13.2)).supplies[0].volts == 13.2
    assert apply(rig, SetSupply("s", "amps", 10.0)).supplies[0].amps == 10.0
    for wrong in (SetLead("m", "fuse_amps", 5), SetLead("l", "colour", 5), SetSupply("t", "volts", 5),
                  SetSupply("s", "ohm", 5)):  # fmt: skip
        with pytest.raises(CommandError):
            apply(rig, wrong)
