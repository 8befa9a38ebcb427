"""Names that somebody may have meant."""

from __future__ import annotations

from topo.words.nearest import near_names

KNOWN = ("main-camera", "guide-camera", "mount", "Filter_Wheel")


def test_the_nearest_comes_first_and_strangers_not_at_all() -> None:
    assert near_names("gide-camera", KNOWN, most=3) == ["guide-camera", "main-camera"]
    assert near_names("mont", KNOWN) == ["mount"]
    assert near_names("xyzzy", KNOWN) == []


def test_case_and_joints_are_no_difference() -> None:
    assert near_names("FILTER WHEEL", KNOWN) == ["Filter_Wheel"]
    assert near_names("a" * 10_000, KNOWN) == []
