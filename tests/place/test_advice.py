"""Advice that can be followed, and nothing else: pins, kinds of sockets, cables, power; and figures that come true."""

from __future__ import annotations

import pytest

from tests.place.random_rigs import EXAMINER, random_text, rig_from
from tests.place.rigs import COMPUTER, GUIDING, IMAGING, LOSING, MOUNT
from tests.samples import share
from topo.analysis.study import Study
from topo.errors import CommandError
from topo.model.facts import value_of
from topo.model.finding import Severity
from topo.model.rig import Rig
from topo.pipeline import examine_text, new_part
from topo.place.advice import Advice, advise, in_order
from topo.place.options import place
from topo.place.remembered import Remembered
from topo.place.search import rewire
from topo.rigfile.edit import set_scalar
from topo.rigfile.read import read_text


def test_the_one_move_that_clears() -> None:
    answer = rewire(rig_from(LOSING), EXAMINER)
    assert answer.plan is not None and answer.plan.moves == (("main-camera", "computer/usb2-1", "computer/usb3-2"),)
    assert answer.plan.consequence.faults == 0 and answer.start.consequence.faults == 1


def test_pinned_parts_stay() -> None:
    answer = rewire(rig_from(LOSING), EXAMINER, pinned=frozenset({"main-camera"}))
    assert answer.plan is not None
    assert all(part != "main-camera" for part, _, _ in answer.plan.moves)
    both = rewire(rig_from(LOSING), EXAMINER, pinned=frozenset({"main-camera", "guide-camera"}))
    assert both.plan is None and both.best.moves == () and both.searched.complete


def test_an_unknown_pin_is_told_with_the_nearest() -> None:
    with pytest.raises(CommandError, match=r"main-camra.*nearest: main-camera"):
        rewire(rig_from(LOSING), EXAMINER, pinned=frozenset({"main-camra"}))


def test_no_serial_lead_goes_to_usb_and_no_usb_plug_to_a_serial_socket() -> None:
    text = COMPUTER + f"""\
devices:
  adapter: {{speed: full, serial_sockets: 2, plug: computer/usb3-1}}
  main-camera: {{{IMAGING}, speed: high, plug: computer/usb2-1, hub_ports: 1, use: {{exposure_s: 120}}}}
  guide-camera: {{{GUIDING}, plug: main-camera/usb2-1}}
  mount: {{role: mount, serial: {{baud: 9600, polls_per_s: 1, bytes_out: 9, bytes_in: 9}}, plug: adapter/serial-1}}
"""
    rig = rig_from(text)
    for most in (1, 2):
        answer = rewire(rig, EXAMINER, ("fault",), most)
        for part, _, to in (answer.plan or answer.best).moves:
            assert ("serial" in to) == (part == "mount")
    part = new_part(read_text(text, "rig.yaml"), "new", {"profile": "camera-guide-1mp"})
    placement = place(rig, part, EXAMINER)
    assert ("adapter/serial-2", "it is a serial socket") in placement.ruled_out
    assert all("serial" not in option.plug for option in placement.options)


def test_a_camera_in_a_serial_socket_is_moved_to_usb() -> None:
    text = COMPUTER + f"""\
devices:
  adapter: {{speed: full, serial_sockets: 2, plug: computer/usb3-1}}
  main-camera: {{{IMAGING}, speed: high, plug: adapter/serial-1, use: {{exposure_s: 120}}}}
"""
    answer = rewire(rig_from(text), EXAMINER)
    assert answer.plan is not None and [m[0] for m in answer.plan.moves] == ["main-camera"]
    assert answer.plan.moves[0][2].startswith("computer/usb")


REACH = COMPUTER.replace("    usb3-2: {controller: first, speed: super, usb2_bus: one}\n", "") + f"""\
hubs:
  far-hub: {{speed: high, ports: 4, powered: true, plug: computer/usb2-1, cable: {{length_m: FAR}}}}
devices:
  main-camera: {{{IMAGING}, speed: high, plug: far-hub/1, cable: {{length_m: 1}}, use: {{exposure_s: 120}}}}
  guide-camera: {{{GUIDING}, plug: far-hub/2, cable: {{length_m: LONG}}}}
"""


def test_a_cable_that_cannot_reach_is_never_advised() -> None:
    """The hub is 4 m from the computer. A camera with 1 m at the hub is at least 3 m away: 1 m does not reach. A guide
    camera with 3 m at the hub is 1 to 7 m away: it may reach, and that is said."""
    answer = rewire(rig_from(REACH.replace("FAR", "4").replace("LONG", "1")), EXAMINER)
    assert answer.plan is None or all("computer" not in to or part == "far-hub" for part, _, to in answer.plan.moves)
    answer = rewire(rig_from(REACH.replace("FAR", "4").replace("LONG", "3")), EXAMINER)
    assert answer.plan is not None and answer.plan.moves == (("guide-camera", "far-hub/2", "computer/usb3-1"),)
    assert answer.plan.to_try == ("guide-camera: up to 7 m may be needed, its cable has 3 m",)


@pytest.mark.parametrize(("far", "cable_m", "goes"), [
    ("length_m: 4.9", 3, True), ("length_m: 5", 3, False),
    ("active: true", 3, False), ("length_m: 2, active: true", 3, False),
])  # fmt: skip
def test_nothing_is_sent_to_the_other_end_of_a_long_leg_where_it_may_not_reach(
    far: str, cable_m: float, goes: bool
) -> None:
    """5 m and 3 m of cable: the guide camera may be 2 to 8 m from the computer, and at 5 m that is another place."""
    text = REACH.replace("length_m: FAR", far).replace("LONG", str(cable_m))
    answer = rewire(rig_from(text), EXAMINER, pinned=frozenset({"far-hub", "main-camera"}))
    assert (answer.plan is not None) == goes
    assert not goes or answer.plan is None or answer.plan.moves[0][0] == "guide-camera"


def test_an_extender_leads_to_another_place_whatever_its_length() -> None:
    text = REACH.replace("speed: high, ports: 4, powered: true, plug: computer/usb2-1, cable: {length_m: FAR}",
                         "profile: extender-network-usb2-4port, plug: computer/usb2-1").replace("LONG", "3")
    answer = rewire(rig_from(text), EXAMINER, pinned=frozenset({"far-hub"}))
    assert answer.plan is None and not answer.best.moves
    profiled = text.replace("extender-network-usb2-4port", "hub-usb2-4port-powered")
    near = rewire(rig_from(profiled), EXAMINER, pinned=frozenset({"far-hub"}))
    assert near.plan is not None


SLOWER = COMPUTER.replace("    usb3-2: {controller: first, speed: super, usb2_bus: one}\n", "") + f"""\
hubs:
  hub: {{speed: super, ports: 4, powered: false, plug: computer/usb3-1}}
devices:
  main-camera: {{{IMAGING}, speed: super, bus_ma: 450, plug: hub/1, cable: {{grade: GRADE}}, use: {{exposure_s: 120}}}}
  panel: {{role: flat-panel, speed: full, plug: hub/2}}
"""
"""A camera that draws too much for a hub without a supply. The only other socket is a USB 2 one."""


def test_no_plan_makes_a_device_slower_by_its_own_move_or_its_hubs() -> None:
    """The socket would clear the fault. It is advised to the same camera where a USB 2 cable makes it no slower."""
    rig = rig_from(SLOWER.replace("GRADE", "usb3"))
    both: tuple[Severity, ...] = ("fault", "risk")
    answer = rewire(rig, EXAMINER, both, pinned=frozenset({"hub"}))
    assert answer.start.consequence.risks == 1 and answer.plan is None and not answer.best.moves
    answer = rewire(rig_from(SLOWER.replace("GRADE", "usb2")), EXAMINER, both, pinned=frozenset({"hub"}))
    assert answer.plan is not None and answer.plan.moves == (("main-camera", "hub/1", "computer/usb2-1"),)


@pytest.mark.slow
def test_every_plan_of_random_rigs_keeps_every_speed() -> None:
    """The speeds of the plan, as of a fresh study, against those of the rig as it stands; and a hub that moves."""
    moved_hubs = 0
    for seed in range(300, 340):
        rig = rig_from(random_text(seed, 6))
        answer = rewire(rig, EXAMINER, ("fault", "risk"), 2)
        hubs = {part.id for part in rig.hubs}
        for plan in (answer.plan, answer.best):
            if plan is None:
                continue
            moved_hubs += any(part in hubs for part, _, _ in plan.moves)
            for was, now in zip(answer.start.study.devices, plan.study.devices, strict=True):
                assert was.speed is None or (now.speed is not None and now.speed >= was.speed), seed
    assert moved_hubs > 3


def test_place_rules_out_what_the_cable_cannot_reach_and_says_how_long_it_must_be() -> None:
    text = REACH.replace("FAR", "5").replace("LONG", "1")
    part = new_part(read_text(text, "rig.yaml"), "new", {"profile": "focuser-serial"})
    placement = place(rig_from(text), part, EXAMINER, 0.5, "main-camera")
    assert any(plug == "computer/usb3-1" and "0.5 m cable cannot reach" in why for plug, why in placement.ruled_out)
    longer = [option for option in placement.options if option.plug == "computer/usb3-1"]
    assert len(longer) == 1 and longer[0].buy == "a cable of 4 to 6 m"


def test_power_over_budget_is_never_advised() -> None:
    """The camera draws 450 mA. Its only other free sockets are on a hub without a supply: 100 mA each."""
    text = COMPUTER.replace("    usb3-2: {controller: first, speed: super, usb2_bus: one}\n", "") + f"""\
hubs:
  hub: {{speed: super, ports: 4, powered: false, plug: computer/usb3-1}}
devices:
  main-camera: {{{IMAGING}, speed: super, bus_ma: 450, plug: computer/usb2-1, hub_ports: 1, use: {{exposure_s: 120}}}}
  guide-camera: {{{GUIDING}, plug: main-camera/usb2-1}}
"""
    rig = rig_from(text)
    answer = rewire(rig, EXAMINER, pinned=frozenset({"guide-camera", "hub"}))
    assert answer.plan is None and not answer.best.moves
    part = new_part(read_text(text, "rig.yaml"), "new", {"profile": "focuser-serial", "bus_ma": "300"})
    placement = place(rig, part, EXAMINER)
    assert any(plug.startswith("hub/") and "mA" in why for plug, why in placement.ruled_out), placement.ruled_out
    assert not any(option.plug.startswith("hub/") for option in placement.options)


def test_two_in_one_socket_are_told_apart_by_one_move() -> None:
    """A free socket of the very same hub is enough."""
    text = COMPUTER + f"""\
hubs:
  hub: {{speed: high, ports: 4, powered: true, plug: computer/usb2-1}}
devices:
  mount: {{{MOUNT}, plug: hub/1}}
  focuser: {{role: focuser, speed: full, interface: serial, plug: hub/1}}
"""
    answer = rewire(rig_from(text), EXAMINER)
    assert answer.plan is not None and len(answer.plan.moves) == 1


# -- figures come true ---------------------------------------------------------------------------------------------


def figures(text: str) -> list[object]:
    """What `topo check` tells of a text."""
    report = examine_text(text)
    return [report.devices, report.links, [(f.name, f.severity, f.part, f.message) for f in report.findings]]


@pytest.mark.slow
def test_after_every_advised_move_a_fresh_check_of_the_changed_file_says_the_same() -> None:
    seen = 0
    for seed in range(100):
        text = random_text(seed, 5)
        answer = rewire(rig_from(text), EXAMINER, ("fault",), 2)
        if answer.plan is None or not answer.plan.moves:
            continue
        seen += 1
        hubs = {part.id for part in answer.start.rig.hubs}
        for part, _, to in answer.plan.moves:
            rigfile = read_text(text, "rig.yaml")
            text = set_scalar(rigfile, ("hubs" if part in hubs else "devices", part, "plug"), to)
        report = examine_text(text)
        study = answer.plan.study
        assert tuple(report.study.devices) == study.devices
        assert tuple(report.study.links) == study.links
        known = {(f.name, f.severity, f.part, f.message) for f in answer.plan.findings}
        assert {(f.name, f.severity, f.part, f.message) for f in report.findings} == known
    assert seen > 12


def advised(text: str) -> Advice:
    """What plugs and settings do about the faults of a rig."""
    kept = Remembered(Study(rig_from(text)), EXAMINER)
    return advise(kept, rewire(kept.base.rig, EXAMINER, kept=kept))


def test_settings_stand_in_for_moves_and_their_limit_is_the_highest_safe_one() -> None:
    advice = advised(LOSING)
    (change,) = advice.settings.changes
    assert (change.part, change.key) == ("guide-camera", "limit_mb_per_s")
    assert advice.settings.consequence.faults == 0 and advice.cleared_by_settings(("fault",)) and advice.mixed is None
    text = LOSING.replace("use: {exposure_s: 2}", "use: {exposure_s: 2, limit_mb_per_s: LIMIT}")
    assert not _faults(text.replace("LIMIT", str(change.value)))
    assert _faults(text.replace("LIMIT", str(round(float(change.value) + 0.1, 1))))


def _faults(text: str) -> list[str]:
    return [f.name for f in examine_text(text).findings if f.severity == "fault"]


def test_fewer_moves_with_settings() -> None:
    """A power fault that one move clears, and a lost frame that a limit clears: two moves alone, one with settings."""
    text = COMPUTER + f"""\
devices:
  main-camera: {{{IMAGING}, speed: high, plug: computer/usb2-1, hub_ports: 2, use: {{exposure_s: 120}}}}
  guide-camera: {{{GUIDING}, plug: main-camera/usb2-1}}
  box: {{role: power, speed: full, bus_ma: 700, plug: main-camera/usb2-2}}
"""
    advice = advised(text)
    assert advice.moves.plan is not None and len(advice.moves.plan.moves) == 2
    assert advice.mixed is not None and [move[0] for move in advice.mixed.moves] == ["box"]
    assert [change.part for change in advice.mixed.settings.changes] == ["guide-camera"]
    assert advice.mixed.settings.consequence.faults == 0


@pytest.mark.parametrize("seed", share(range(0, 400, 20), 5))
def test_settings_ask_no_camera_for_less_than_half_nor_for_binned_pictures(seed: int) -> None:
    """Limits against the rate of the same camera without one, computed from the rig's file."""
    from topo.place.settings import settings

    rig = rig_from(random_text(seed))
    study = Study(rig)
    for change in settings(Remembered(study, EXAMINER), rig, ("fault", "risk")).changes:
        part = rig.part(change.part)
        if change.key == "bin":
            assert part.role == "guiding" or value_of(part.use.mode) == "video"
        if change.key == "limit_mb_per_s":
            alone = study.levels[0].alone[change.part] / 1e6
            assert 2 * float(change.value) >= alone - 0.2


def test_a_limit_in_the_file_does_not_lower_the_floor() -> None:
    """A guide camera held to 20 MB/s already may be asked for 17.5 MB/s, but not for 10.

    Half of what it gets alone without a limit, at the low end: the least of its readout, 37 MB/s, and its bus, 35.1.
    """
    from topo.place.settings import highest_limit

    study = Study(rig_from(LOSING.replace("use: {exposure_s: 2}", "use: {exposure_s: 2, limit_mb_per_s: 20}")))
    floor = highest_limit(study, "guide-camera", lambda after: _limit(after) <= 17.5)
    assert floor == 17.5 and highest_limit(study, "guide-camera", lambda after: _limit(after) <= 17.4) is None


def _limit(rig: Rig) -> float:
    return value_of(rig.part("guide-camera").use.limit_mb_per_s) or 0.0


@pytest.mark.slow
def test_settings_clear_exactly_what_the_easiest_settings_clear() -> None:
    from topo.place.settings import eased, settings

    for seed in range(0, 300, 10):
        study = Study(rig_from(random_text(seed)))
        kept = Remembered(study, EXAMINER)
        easy = EXAMINER(Study(eased(kept, study.rig)))
        left = settings(kept, study.rig, ("fault",)).after.findings
        keys = [{(f.name, f.part) for f in each if f.severity == "fault"} for each in (easy, left)]
        assert keys[1] <= keys[0], seed


def test_moves_are_told_in_an_order_that_can_be_carried_out() -> None:
    a, b, c = ("a", "x/1", "x/2"), ("b", "x/2", "x/3"), ("c", "x/3", "x/4")
    assert in_order((a, b, c)) == ((c,), (b,), (a,))
    assert in_order((a, ("b", "x/2", "x/1"))) == ((a, ("b", "x/2", "x/1")),)
    ring = (a, b, ("c", "x/3", "x/1"), ("d", "x/9", "x/8"))
    assert in_order(ring) == ((ring[3],), ring[:3])
    tail = (("t", "x/0", "x/1"), a, ("b", "x/2", "x/1"))
    assert in_order(tail)[0] in ((a, tail[2]), (tail[2], a))
