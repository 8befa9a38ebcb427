"""Sockets past a long leg in `place` and plan B, hubs to buy, and refuges that are slower."""

from __future__ import annotations

from tests.place.random_rigs import EXAMINER, rig_from
from tests.place.rigs import COMPUTER, GUIDING, IMAGING, MOUNT
from topo.analysis.study import Study
from topo.pipeline import new_part
from topo.place.failures import things
from topo.place.options import Placement, place
from topo.place.planb import left_by
from topo.place.refuge import Refuge
from topo.place.refuge import refuges as all_refuges
from topo.rigfile.read import read_text

FAR = COMPUTER + f"""\
hubs:
  extension: {{profile: cable-active-usb3, plug: computer/usb3-1, cable: {{length_m: 10}}}}
  tripod-hub: {{speed: super, ports: 4, powered: true, translators: per-port, plug: extension/1}}
devices:
  main-camera: {{{IMAGING}, speed: super, plug: tripod-hub/1, use: {{exposure_s: 60}}}}
  guide-camera: {{{GUIDING}, plug: tripod-hub/2}}
  adapter: {{speed: full, serial_sockets: 2, plug: tripod-hub/3}}
  mount: {{role: mount, serial: {{baud: 9600, polls_per_s: 1, bytes_out: 9, bytes_in: 9}}, plug: adapter/serial-1}}
"""
"""The telescope on the lawn, the computer indoors. One socket of the hub on the tripod is free."""

FULL = FAR + "  box: {role: power, speed: full, plug: tripod-hub/4}\n"


def placed(text: str, profile: str = "focuser-serial", near: str | None = None, **body: object) -> Placement:
    part = new_part(read_text(text, "rig.yaml"), "new", {"profile": profile, **body})
    return place(rig_from(text), part, EXAMINER, None, near)


def test_what_works_at_the_telescope_goes_there_and_sockets_elsewhere_come_last() -> None:
    for near in (None, "main-camera", "tripod-hub"):
        options = placed(FAR, near=near).options
        assert options[0].plug == "tripod-hub/4" and options[0].is_at_hand
        there = [option.plug.startswith("computer/") for option in options]
        assert there == sorted(there) and any(there)
        far = [" ".join(o.why) for o in options if o.plug.startswith("computer/")]
        assert all("long leg of extension" in why for why in far)


def test_what_works_indoors_is_not_taken_to_the_telescope() -> None:
    options = placed(FAR, "network-gigabit-usb3").options
    assert options[0].plug.startswith("computer/") and all(o.reach.verdict != "elsewhere" for o in options)


def test_a_full_telescope_is_offered_a_hub_there_before_a_socket_elsewhere() -> None:
    options = placed(FULL).options
    assert options[0].buy == "a powered USB 2 hub in tripod-hub/4, with box on it"
    assert not any("computer/" in (option.buy or "") for option in options)
    assert options[-1].reach.verdict == "elsewhere" and options[-1].buy is None


def test_a_bought_hub_leaves_cameras_alone_first_and_what_the_night_hangs_on_next() -> None:
    text = COMPUTER + f"""\
devices:
  main-camera: {{{IMAGING}, speed: super, plug: computer/usb3-1, hub_ports: 1, use: {{exposure_s: 120}}}}
  stick: {{role: network, speed: high, use: {{mb_per_s: 1}}, plug: computer/usb2-1}}
  box: {{role: dew, speed: full, plug: computer/usb3-2}}
  guide-camera: {{{GUIDING.replace("frame_memory_mb: 0", "frame_memory_mb: 32")}, plug: main-camera/usb2-1}}
"""
    moved = [str(option.buy).rpartition("with ")[2] for option in placed(text).options]
    assert moved == ["box on it", "stick on it", "main-camera on it"]


def test_no_part_is_moved_onto_a_new_hub_that_is_slower() -> None:
    text = COMPUTER.replace("    usb3-2: {controller: first, speed: super, usb2_bus: one}\n", "") + f"""\
devices:
  main-camera: {{{IMAGING}, speed: super, plug: computer/usb3-1, use: {{exposure_s: 120}}}}
  mount: {{{MOUNT}, plug: computer/usb2-1}}
"""
    assert [o.buy for o in placed(text, "hub-usb2-7port-powered").options] == ["mount to move from there onto it"]
    assert len(placed(text, "hub-usb3-7port-powered").options) == 2


# -- plan B --------------------------------------------------------------------------------------------------------


def refuges(text: str, kind: str, name: str) -> dict[str, Refuge]:
    """Where each orphan would go, whether that brings the night back or not."""
    study = Study(rig_from(text))
    thing = next(each for each in things(study) if (each.kind, each.name) == (kind, name))
    return {each.part: each for each in all_refuges(study.topology, left_by(study.rig, thing), thing.orphans)[0]}


def test_no_refuge_is_in_another_place() -> None:
    """When the hub on the tripod fails, one part fits the extension's end, the most important; the computer is 10 m
    away."""
    found = refuges(FAR, "hub", "tripod-hub")
    assert found["guide-camera"].plug == "extension/1"
    assert found["main-camera"].plug is None and "near enough" in found["main-camera"].why
    assert refuges(FAR, "hub", "extension")["tripod-hub"].plug is None
    assert refuges(FAR, "port", "computer/usb3-1")["extension"].plug == "computer/usb3-2"


def test_a_serial_lead_whose_adapter_failed_goes_to_no_usb_socket() -> None:
    assert refuges(FAR, "adapter", "adapter")["mount"].plug is None


def test_a_refuge_keeps_the_speed_where_one_does_and_tells_where_none_does() -> None:
    """A USB 2 socket would do better for the guide camera's delay, still the camera goes where it keeps its speed."""
    text = COMPUTER + f"""\
devices:
  main-camera: {{{IMAGING}, speed: super, plug: computer/usb3-1, use: {{exposure_s: 120}}}}
  other: {{{IMAGING}, speed: super, plug: computer/usb3-2, use: {{exposure_s: 120}}}}
"""
    found = refuges(text, "port", "computer/usb3-1")["main-camera"]
    assert found.plug == "computer/usb2-1" and "at a lower USB speed" in found.why
    one = refuges(text.replace("plug: computer/usb3-2", "plug: computer/usb2-1"), "port", "computer/usb3-1")
    assert one["main-camera"].plug == "computer/usb3-2" and "lower USB speed" not in one["main-camera"].why
