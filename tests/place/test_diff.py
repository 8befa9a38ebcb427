"""Two plans side by side."""

from __future__ import annotations

from tests.place.random_rigs import every, rig_from
from tests.place.rigs import LOSING
from topo.analysis.study import Study
from topo.place.diff import Difference, PlanDiff, compare_plans


def diff(one: str, other: str) -> PlanDiff:
    a, b = Study(rig_from(one)), Study(rig_from(other))
    return compare_plans(a.rig, b.rig, every(a), every(b))


def test_the_same_plan() -> None:
    same = diff(LOSING, LOSING)
    assert not same.parts and not same.gone and not same.new and same.kept


def test_a_move_and_what_it_cleared() -> None:
    moved = diff(LOSING, LOSING.replace("speed: super, plug: computer/usb2-1", "speed: super, plug: computer/usb3-2"))
    assert moved.parts == (Difference("main-camera", "moved", "computer/usb2-1", "computer/usb3-2"),)
    assert "frame-lost" in [finding.name for finding in moved.gone]
    assert not [finding for finding in moved.new if finding.severity == "fault"]


def test_and_back_again_brings_it() -> None:
    back = diff(LOSING.replace("speed: super, plug: computer/usb2-1", "speed: super, plug: computer/usb3-2"), LOSING)
    assert "frame-lost" in [finding.name for finding in back.new]


def test_added_removed_and_changed() -> None:
    more = LOSING.replace("exposure_s: 2}", "exposure_s: 3}") + "  focuser: {speed: full, plug: computer/usb3-2}\n"
    assert diff(LOSING, more).parts == (
        Difference("guide-camera", "changed", "exposure_s 2.0", "exposure_s 3.0"),
        Difference("focuser", "added", "", "computer/usb3-2"),
    )
    assert diff(more, LOSING).parts[-1] == Difference("focuser", "removed", "computer/usb3-2", "")


def test_a_cable_in_words() -> None:
    other = LOSING.replace("plug: computer/usb3-1", "plug: computer/usb3-1, cable: {length_m: 2, grade: usb2}")
    assert diff(LOSING, other).parts == (Difference("mount", "changed", "cable not given", "cable 2 m, usb2"),)


def test_sockets_supplies_and_leads() -> None:
    power = LOSING + "power:\n  supplies: {pier: {volts: 12, amps: 5}}\n  leads: {a: {from: pier, to: mount}}\n"
    other = power.replace("amps: 5", "amps: 10").replace("to: mount}", "to: mount, fuse_amps: 3}")
    assert diff(power, other).parts == (
        Difference("pier", "changed", "supply of 12 V, 5 A", "supply of 12 V, 10 A"),
        Difference("a", "changed", "lead from pier to mount", "lead from pier to mount, fuse 3 A"),
    )
    socket = LOSING.replace("usb3-2: {controller: first, speed: super", "usb3-2: {controller: first, speed: high")
    assert diff(LOSING, socket).parts[0] == Difference(
        "computer", "changed", "sockets usb3-2 (usb, super, controller first, bus one)",
        "usb3-2 (usb, high, controller first, bus one)",
    )  # fmt: skip


def test_a_part_under_another_name_is_the_same_part() -> None:
    """The camera with a hub inside is called otherwise, so what hangs on it says so too: nothing else is different."""
    found = diff(LOSING, LOSING.replace("main-camera", "big-camera"))
    assert found.parts == (Difference("big-camera", "renamed", "main-camera", "big-camera"),)
    assert not found.gone and not found.new and found.kept


def test_a_part_that_changed_besides_is_another_part() -> None:
    found = diff(LOSING, LOSING.replace("main-camera", "big-camera").replace("exposure_s: 120", "exposure_s: 60"))
    assert {part.what for part in found.parts} >= {"removed", "added"}


def test_another_night() -> None:
    disk = LOSING + "  disk: {role: storage, plug: computer/usb3-2, use: {mb_per_s: 9}}\n"
    one = disk + "night: {hours: 6, copying: {disk: {when: never}}}\n"
    other = one.replace("hours: 6", "dither_every: 2").replace("when: never", "for_s: 9, every_s: 90")
    assert diff(one, other).parts == (
        Difference("night", "changed", "hours 6.0", "hours not given"),
        Difference("night", "changed", "copying of disk never", "copying of disk 9 s in 90 s"),
        Difference("night", "changed", "dither_every not given", "dither_every 2"),
    )
    named = one.replace("disk:", "backup:")
    assert [each.what for each in diff(one, named).parts] == ["renamed"]
