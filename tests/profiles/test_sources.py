"""Sources: every figure has one; what says 'computed' is computed again here from its own words."""

from __future__ import annotations

import math
import re

import pytest

from tests.profiles.shipped import CAMERAS, PROFILES, by_name, figures
from topo.model.facts import value_of
from topo.model.profile import Profile

KINDS = ("published: ", "computed: ", "common practice, no source", "from memory, verify")

# Which pixel counts of camera classes are published and which are common practice (a survey of makers' data sheets
# and of what owners write, made for this project).
PUBLISHED_PIXELS = {(1440, 1080), (2048, 1536), (3008, 3008), (4144, 2822), (4968, 3378), (5320, 4600), (8288, 5644),
                    (11760, 8896), (14304, 10748)}

RATE = re.compile(r"computed: ([\d.]+) frames/s of (\d+)x(\d+) at (8|16) bits")
DRIFT = re.compile(r"computed: pi x (\d+) arcsec peak to peak / (\d+) s")
WATTS = re.compile(r"computed: (\d+) W, .* at 12 V")
SOCKETS = re.compile(r"computed: (\d+) sockets x 5 V x 0\.9 A / 12 V")
SEGMENT = re.compile(r"computed: ([\d.]+) ([GM])b/s / 8 x 1460 / 1538")
LEFT = re.compile(r"computed: (\d+) mA less the unit load")


@pytest.mark.parametrize("profile", PROFILES.values(), ids=by_name)
def test_every_figure_says_what_kind_of_source_it_has(profile: Profile) -> None:
    for name, fact in figures(profile):
        assert fact.basis == "profile"
        assert fact.source.startswith(KINDS), (name, fact.source)
        assert fact.source.isascii() and len(fact.source) > len("published: ") + 3


def again(source: str, profile: Profile) -> float | None:
    """What the words of a source come to, or None where they are no arithmetic."""
    if found := RATE.match(source):
        return float(found[1]) * int(found[2]) * int(found[3]) * (int(found[4]) // 8) / 1e6
    if found := DRIFT.match(source):
        return math.pi * int(found[1]) / int(found[2])
    if found := WATTS.match(source):
        return int(found[1]) / 12
    if found := SOCKETS.match(source):
        return int(found[1]) * 5 * 0.9 / 12
    if found := SEGMENT.match(source):
        # 1460 bytes of a segment in 1538 bytes on the wire: IEEE 802.3 preamble 8, header 14, check 4, gap 12.
        return float(found[1]) * (1000 if found[2] == "G" else 1) / 8 * 1460 / 1538
    if found := LEFT.match(source):
        return int(found[1]) - float(value_of(profile.facts.bus_ma))
    return None


@pytest.mark.parametrize("profile", PROFILES.values(), ids=by_name)
def test_computed_figures_come_out_as_stated(profile: Profile) -> None:
    for name, fact in figures(profile):
        if (value := again(fact.source, profile)) is not None:
            assert float(fact.value) == pytest.approx(value, rel=0.03), (name, fact.source)


def test_the_arithmetic_is_found_in_the_words() -> None:
    found = [again(fact.source, profile) for profile in PROFILES.values() for _, fact in figures(profile)]
    assert sum(value is not None for value in found) >= 50
    for pattern in (RATE, DRIFT, WATTS, SOCKETS, SEGMENT, LEFT):
        assert any(pattern.match(fact.source) for profile in PROFILES.values() for _, fact in figures(profile))


@pytest.mark.parametrize("profile", CAMERAS, ids=by_name)
def test_pixels_are_called_published_only_where_they_are(profile: Profile) -> None:
    width, height = profile.facts.width_px, profile.facts.height_px
    published = (width.value, height.value) in PUBLISHED_PIXELS
    assert width.source.startswith("published") == height.source.startswith("published") == published


def test_no_source_names_an_address() -> None:
    for profile in PROFILES.values():
        for _, fact in figures(profile):
            assert not re.search(r"https?:|www\.|@|\.com\b|\.org\b", fact.source)
