"""What settings are offered, how near to now they may be, and what each costs the pictures: by hand, on small rigs."""

from __future__ import annotations

import math

import pytest

from tests.mutations.test_planning_rules import small
from topo.analysis.study import Study
from topo.model.change import SetUse
from topo.place.price import loss, prices, share_lost
from topo.place.settings import _between, bounds, nearer
from topo.wiring.apply import apply

STREAMS = Study(small("two-streams"))
"""A stream of 1900 × 1000 pixels, 12 a second, and a guide camera of 0.5 s; both on one bus."""
STILLS = Study(small("card"))


def test_the_easiest_that_is_offered() -> None:
    """A stream: binned by 4, one frame a second, 240 of 1000 lines and as much of the width, 456, to a sixteenth. A
    guide camera: half of the 35.1 MB/s it gets alone, and a cycle of 10 s. Of a picture, a limit alone."""
    assert list(bounds(STREAMS)) == [
        SetUse("sky", "bin", 4), SetUse("sky", "fps", 1), SetUse("sky", "roi", "464x240"),
        SetUse("guide", "bin", 4), SetUse("guide", "limit_mb_per_s", 17.5), SetUse("guide", "gap_s", 9.5)]
    assert list(bounds(STILLS)) == [
        SetUse("main", "limit_mb_per_s", 17.5),
        SetUse("guide", "bin", 4), SetUse("guide", "limit_mb_per_s", 17.5), SetUse("guide", "gap_s", 8.0)]


@pytest.mark.parametrize(("old", "new", "missing"), [
    ("exposure_s: 2}", "exposure_s: 10}", "gap_s"), ("exposure_s: 2}", "exposure_s: 2, gap_s: 8}", "gap_s"),
    ("exposure_s: 2}", "exposure_s: 2, bin: 4}", "bin"), ("exposure_s: 2}", "exposure_s: 2, gap_s: 7.9}", ""),
    ("exposure_s: 2}", "exposure_s: 2, bin: 3}", ""), ("role: guiding", "role: other", "bin gap_s"),
    ("exposure_s: 2}", "exposure_s: 2, limit_mb_per_s: 17.5}", "limit_mb_per_s"),
    ("exposure_s: 2}", "exposure_s: 2, limit_mb_per_s: 17.6}", ""),
])
def test_what_is_at_its_bound_is_not_offered(old: str, new: str, missing: str) -> None:
    found = {change.key for change in bounds(Study(small("card", (old, new)))) if change.part == "guide"}
    assert found == {"bin", "limit_mb_per_s", "gap_s"} - set(missing.split())


def test_no_limit_lets_frames_pile_up() -> None:
    """A frame of 2.46 MB every 0.1 s needs 24.6 MB/s, which is more than half of what the camera gets."""
    fast = Study(small("card", ("exposure_s: 2}", "exposure_s: 0.1}")))
    [limit] = [change.value for change in bounds(fast) if (change.part, change.key) == ("guide", "limit_mb_per_s")]
    assert limit == 24.6


@pytest.mark.parametrize(("change", "wanted"), [
    (SetUse("sky", "bin", 4), [2, 3]), (SetUse("sky", "fps", 1), [11, 10, 9, 8, 7, 6, 5, 4, 3, 2]),
    (SetUse("guide", "bin", 4), [2, 3]),
])
def test_steps_from_now_to_the_easiest(change: SetUse, wanted: list[int]) -> None:
    assert list(_between(STREAMS, change)) == wanted
    assert [each.value for each in nearer(STREAMS, change)] == wanted
    assert all((each.part, each.key) == (change.part, change.key) for each in nearer(STREAMS, change))


def test_nearer_in_even_steps() -> None:
    """A 32nd of the way from what is set now, to a tenth: a pause from 0 to 9.6 s in steps of 0.3; a limit from the
    37 MB/s that the camera sends to 17.8 in steps of 0.6. What a part may not be set to is none nearer to."""
    pause = [each.value for each in nearer(STREAMS, SetUse("guide", "gap_s", 9.6))]
    assert pause == [round(0.3 * step, 1) for step in range(1, 32)]
    limit = [each.value for each in nearer(STREAMS, SetUse("guide", "limit_mb_per_s", 17.8))]
    assert limit == [round(37 - 0.6 * step, 1) for step in range(1, 32)]
    regions = [each.value for each in nearer(STREAMS, SetUse("sky", "roi", "464x240"))]
    assert regions[0] == "1840x976" and regions[-1] == "496x256" and "464x240" not in regions
    assert len(regions) == len(set(regions)) == 31


@pytest.mark.parametrize(("change", "words", "share", "ratio"), [
    (SetUse("sky", "fps", 6), "sky: 6 of 12 frames a second not taken", 0.5, 2),
    (SetUse("sky", "fps", 9), "sky: 3 of 12 frames a second not taken", 0.25, 4 / 3),
    (SetUse("sky", "bin", 2), "sky: keeps 25 % of its pixels", 0.75, 4),
    (SetUse("sky", "roi", "950x500"),
     "sky: a smaller field of 950 × 500 pixels, 25 % of it now; what it films must stay in it", 0.5, 2),
    (SetUse("guide", "bin", 2), "guide: keeps 25 % of its pixels", 0.75, 4),
    (SetUse("guide", "gap_s", 4.5), "guide: a frame every 5 s instead of 500 ms", 0.0, 10),
])
def test_what_a_setting_costs(change: SetUse, words: str, share: float, ratio: float) -> None:
    """In words; the share of pixels, of a side of the field or of frames that is lost; how many times less in all."""
    after = Study(apply(STREAMS.rig, change))
    assert prices(STREAMS, after) == (words,)
    assert share_lost(STREAMS, after) == share
    assert loss(STREAMS, after) == pytest.approx(math.log(ratio), abs=1e-6)
    assert prices(after, STREAMS) == () and share_lost(after, STREAMS) == 0.0 == loss(after, STREAMS)


def test_what_several_settings_cost() -> None:
    """All in words, the dearest share, and the losses together."""
    rig = apply(apply(STREAMS.rig, SetUse("sky", "fps", 6)), SetUse("guide", "bin", 2))
    after = Study(rig)
    assert prices(STREAMS, after) == ("sky: 6 of 12 frames a second not taken", "guide: keeps 25 % of its pixels")
    assert share_lost(STREAMS, after) == 0.75
    assert loss(STREAMS, after) == pytest.approx(math.log(2 * 4), abs=1e-6)


def test_a_download_that_takes_longer_costs_no_pixels() -> None:
    """2.46 MB at 37 MB/s and 19 ms, 85 ms; at 22.4 MB/s 129. Less than a twentieth longer is not spoken of."""
    after = Study(apply(STILLS.rig, SetUse("guide", "limit_mb_per_s", 22.4)))
    assert prices(STILLS, after) == ("guide: downloads 1.5 times longer",) and share_lost(STILLS, after) == 0.0
    size = 1280 * 960 * 2 / 1e6
    longer = (size / 22.4 + 0.019) / (size / 37 + 0.019)
    assert loss(STILLS, after) == pytest.approx(math.log(longer), abs=1e-3)
    hardly = Study(apply(STILLS.rig, SetUse("guide", "limit_mb_per_s", 36)))
    assert prices(STILLS, hardly) == () and loss(STILLS, hardly) > 0.0
