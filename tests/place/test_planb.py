"""Plan B on rigs small enough to see: what stops, what goes on, where orphans go, in which order it is told."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.place.random_rigs import EXAMINER, random_text, rig_from
from tests.place.rigs import COMPUTER, IMAGING, MOUNT
from topo.analysis.study import Study
from topo.frozen import replace
from topo.place.planb import Failure, night_stops, plan_b
from topo.place.refuge import plugged_at, unplugged
from topo.place.spares import Spare, packed, spare_words
from topo.power.tree import fed_by

TEXT = COMPUTER + f"""\
hubs:
  hub: {{speed: super, ports: 4, powered: true, plug: computer/usb3-1}}
devices:
  main-camera: {{{IMAGING}, speed: super, plug: hub/1, use: {{exposure_s: 120}}}}
  guide-camera: {{role: guiding, width_px: 1280, height_px: 960, speed: high, readout_mb_per_s: 37,
    frame_memory_mb: 32, plug: computer/usb2-1, use: {{exposure_s: 2}}}}
  mount: {{{MOUNT}, plug: hub/2}}
  focuser: {{role: focuser, speed: full, interface: serial, plug: hub/3}}
power:
  supplies: {{battery: {{volts: 12.8, amps: 10}}}}
  leads:
    hub-lead: {{from: battery, to: hub}}
    camera-lead: {{from: battery, to: main-camera}}
"""


def by_name(text: str = TEXT) -> dict[tuple[str, str], Failure]:
    return {(failure.kind, failure.name): failure for failure in plan_b(rig_from(text), EXAMINER)}


def test_everything_that_can_fail_is_there() -> None:
    assert set(by_name()) == {
        ("controller", "first"), ("controller", "second"), ("port", "computer/usb3-1"), ("port", "computer/usb2-1"),
        ("hub", "hub"), ("cable", "hub"), ("cable", "main-camera"), ("cable", "guide-camera"), ("cable", "mount"),
        ("cable", "focuser"), ("supply", "battery"), ("lead", "hub-lead"), ("lead", "camera-lead"),
        ("computer", "computer"), ("device", "main-camera"), ("device", "guide-camera"), ("device", "mount"),
        ("device", "focuser"),
    }  # fmt: skip


def test_a_hub_takes_all_behind_it_along() -> None:
    hub = by_name()["hub", "hub"]
    assert hub.stops == ("hub", "main-camera", "mount", "focuser")
    assert hub.services == ("imaging with main-camera", "guiding by guide-camera") and hub.single_point
    placed = {refuge.part: refuge.plug for refuge in hub.refuges}
    assert placed["focuser"] is None and {placed["main-camera"], placed["mount"]} == {
        "computer/usb3-1", "computer/usb3-2"}
    assert next(refuge.part for refuge in hub.refuges) == "mount"


def test_a_socket_moves_the_hub_with_all_that_hangs_on_it() -> None:
    socket = by_name()["port", "computer/usb3-1"]
    assert [(r.part, r.plug) for r in socket.refuges] == [("hub", "computer/usb3-2")]


def test_a_cable_keeps_its_socket_and_a_guide_camera_stops_guiding_alone() -> None:
    cable = by_name()["cable", "guide-camera"]
    assert cable.stops == ("guide-camera",) and not cable.refuges
    assert cable.services == ("guiding by guide-camera",)


def test_the_focuser_is_no_single_point() -> None:
    assert not by_name()["cable", "focuser"].single_point


def test_power() -> None:
    known = by_name()
    assert known["supply", "battery"].stops == ("hub", "main-camera", "mount", "focuser")
    assert next(r.part for r in known["lead", "hub-lead"].refuges) == "mount"
    assert known["lead", "camera-lead"].stops == ("main-camera",)
    assert fed_by(rig_from(TEXT), "battery") == ("hub", "main-camera")


def test_the_computer_without_power_stops_all() -> None:
    lead = by_name(TEXT + "    computer-lead: {from: battery, to: computer}\n")["lead", "computer-lead"]
    assert "computer" in lead.stops and len(lead.services) == 2 and not lead.refuges


def test_single_points_come_first_and_those_that_stop_most_before_others() -> None:
    failures = plan_b(rig_from(TEXT), EXAMINER)
    keys = [(not failure.single_point, -len(failure.stops)) for failure in failures]
    assert keys == sorted(keys)


def test_refuges_are_free_sockets_each_used_once() -> None:
    for seed in range(60):
        rig = rig_from(random_text(seed, 5))
        for failure in plan_b(rig, EXAMINER):
            plugs = [refuge.plug for refuge in failure.refuges if refuge.plug is not None]
            assert len(plugs) == len(set(plugs))
            dead = {failure.name} if failure.kind in ("hub", "port", "device") else set()
            for refuge in failure.refuges:
                assert refuge.plug is None or not {refuge.plug, refuge.plug.partition("/")[0]} & dead
                assert refuge.part != failure.name or failure.kind == "port"


@pytest.mark.slow
def test_no_refuge_is_asked_for_that_gives_nothing_back() -> None:
    """A plug moved in the dark gives pictures or guiding back, or none are lost; and nothing is both lost and kept."""
    moved = 0
    for seed in range(120):
        rig = rig_from(random_text(seed, 4 + seed % 4))
        for failure in plan_b(rig, EXAMINER):
            assert set(failure.still) <= set(failure.services)
            if failure.services and failure.refuges:
                assert failure.still != failure.services
                assert any(refuge.plug is not None for refuge in failure.refuges)
                moved += 1
            if not failure.refuges:
                assert failure.still == failure.services and not failure.brings and not failure.then
    assert moved > 20


@pytest.mark.slow
def test_how_much_worse_is_what_the_rig_with_its_refuges_shows() -> None:
    """Downloads and late frames told are those of the rig with the plugs moved, wired and studied by itself."""
    told = 0
    for seed in range(80):
        rig = rig_from(random_text(seed, 5))
        for failure in plan_b(rig, EXAMINER):
            if failure.kind != "port" or not failure.refuges or any(r.plug is None for r in failure.refuges):
                continue
            after = rig
            for refuge in failure.refuges:
                after = unplugged(after, refuge.part)
            for refuge in failure.refuges:
                if refuge.instead_of is not None:
                    after = unplugged(after, refuge.instead_of)
                after = plugged_at(after, refuge.part, refuge.plug or "")
            now, then = ({d.id: d for d in Study(each).devices} for each in (rig, after))
            for words in failure.then:
                name = next(name for name in sorted(now, key=len, reverse=True) if name in words)
                was, becomes = now[name], then[name]
                slower = was.alone_s and becomes.alone_s and becomes.alone_s.likely > was.alone_s.likely
                later = was.delay_last_s and becomes.delay_last_s and becomes.delay_last_s.high > was.delay_last_s.high
                lost = was.lost == "no" and becomes.lost != "no"
                true = {"download": slower, "late": later, "never come": later, "lose": lost}
                assert any(holds for word, holds in true.items() if word in words)
                told += 1
    assert told > 5


@given(st.lists(st.builds(
    Spare, st.sampled_from(["a 12 V lead", "a known-good USB 3 cable", "a powered USB 3 hub"]),
    st.tuples(st.text("abc", min_size=1, max_size=2)), st.none() | st.floats(0.1, 9),
    st.sampled_from([(0.0, ""), (2.08, "14 AWG"), (0.82, "18 AWG"), (1.5, "1.5 mm²")]),
    st.sampled_from([(), (5.0,), (10.0,)]), st.sampled_from([0.0, 4.0, 7.0])), max_size=9))  # fmt: skip
def test_what_is_packed_stands_in_for_each(spares: list[Spare]) -> None:
    kept = {spare.kind: spare for spare in packed(spares)}
    assert len(kept) == len({spare.kind for spare in spares})
    for spare in spares:
        one = kept[spare.kind]
        assert set(spare.serves) <= set(one.serves) and set(spare.fuses_a) <= set(one.fuses_a)
        assert (spare.length_m or 0.0) <= (one.length_m or 0.0)
        assert spare.wire[0] <= one.wire[0] and spare.size <= one.size
        assert spare.kind in spare_words(one)


def test_what_bridges_a_long_way_has_a_spare_that_bridges_it_too() -> None:
    """No hub stands in for an extender or an active extension, and no USB cable for an extender's own lead."""
    found = by_name(COMPUTER + f"""\
hubs:
  glass: {{over: fibre, speed: super, ports: 1, powered: true, plug: computer/usb3-1, cable: {{length_m: 20}}}}
  wire: {{over: network, speed: high, ports: 4, powered: true, plug: computer/usb3-2}}
  repeater: {{speed: high, ports: 1, plug: wire/1, cable: {{length_m: 5}}}}
  hub: {{speed: super, ports: 4, powered: true, plug: glass/1}}
devices:
  main-camera: {{{IMAGING}, speed: super, plug: hub/1, use: {{exposure_s: 120}}}}
  mount: {{{MOUNT}, plug: repeater/1}}
""")
    spares = {(kind, name): spare_words(failure.spare) for (kind, name), failure in found.items() if failure.spare}
    assert spares["hub", "glass"] == "a second USB 3 extender over glass fibre with 1 socket or more"
    assert spares["cable", "glass"] == "a known-good glass fibre of 20 m"
    assert spares["hub", "wire"] == "a second USB 2 extender over network cable with 4 sockets or more"
    assert spares["cable", "wire"] == "a known-good network cable"
    assert spares["hub", "repeater"] == spares["cable", "repeater"] == "a second active USB 2 extension cable of 5 m"
    assert spares["hub", "hub"] == "a powered USB 3 hub with 4 sockets or more"


def test_what_a_page_tells_of_plan_b_is_what_the_sheet_tells() -> None:
    """With fewer checks run: the same failures in the same order, the same refuges and spares."""
    told = 0
    for seed in range(60):
        rig = rig_from(random_text(seed, 4 + seed % 4))
        study = Study(rig)
        whole = [failure for failure in plan_b(rig, EXAMINER) if failure.single_point]
        brief = night_stops(study, EXAMINER(study), EXAMINER)
        assert [replace(each, brings=(), then=()) for each in whole] == list(brief)
        told += sum(bool(each.refuges) for each in brief)
    assert told > 20
