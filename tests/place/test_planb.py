"""Plan B on rigs small enough to see: what stops, what goes on, where orphans go, in which order it is told."""

from __future__ import annotations

from tests.place.random_rigs import EXAMINER, random_text, rig_from
from tests.place.rigs import COMPUTER, IMAGING, MOUNT
from topo.place.planb import Failure, plan_b
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
