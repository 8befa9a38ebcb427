"""What a stream gets beside downloads, worked by hand: its rate over the night, its dips, its lost frames."""

from __future__ import annotations

import math

import pytest

from topo.analysis.streams import Dip, Stream, dips_of, stream_at, streaming
from topo.model.facts import Range3
from topo.model.traffic import Flow

NONE = Range3(0.0, 0.0, 0.0)


def flow(name: str, asks: float = 40e6) -> Flow:
    return Flow(name, "video", "in", 1e6, None, asks, asks, NONE, 512.0, ())


def test_every_download_that_takes_time_presses_a_stream_down() -> None:
    """However short it is; one with no exposure told downloads all the time, one that never ends does not count."""
    bursts = [flow(name) for name in ("short", "long", "always", "never", "stuck")]
    took = {"short": 0.2, "long": 5.0, "always": 3.0, "never": 0.0, "stuck": math.inf}
    cycles = {"short": 10.0, "long": 60.0, "always": None, "never": 10.0, "stuck": 10.0}
    assert dips_of(bursts, took, cycles) == (Dip(0.2, 10.0), Dip(5.0, 60.0), Dip(3.0, 3.0))


@pytest.mark.parametrize(("buffer", "skipped"), [(0.0, 0.025), (20e6, 0.0125), (40e6, 0.0), (80e6, 0.0)])
def test_a_dip_costs_what_memory_cannot_hold(buffer: float, skipped: float) -> None:
    """40 MB/s asked and had, 20 while 2 of every 40 s download: 40 MB pile up in a dip, of 1600 that are made."""
    told = stream_at(flow("video"), 40e6, 20e6, [Dip(2.0, 40.0)], buffer)
    assert told.night == pytest.approx(40e6 * 0.95 + 20e6 * 0.05)
    assert told.skipped == pytest.approx(skipped)


def test_what_is_lost_all_the_time_is_lost_beside_the_dips_too() -> None:
    """Of 40 MB/s 30 get through, and 10 of those fewer for half of the time."""
    told = stream_at(flow("video"), 30e6, 20e6, [Dip(5.0, 10.0)], 0.0)
    assert told == Stream(pytest.approx(25e6), pytest.approx(15 / 40))  # type: ignore[arg-type]
    assert stream_at(flow("video", math.inf), 30e6, 20e6, [Dip(5.0, 10.0)], 0.0).skipped == 0.0
    assert stream_at(flow("video"), 0.0, 0.0, [], 0.0).skipped == 1.0


def test_downloads_all_the_time_press_all_the_time_and_no_more() -> None:
    assert stream_at(flow("video"), 40e6, 10e6, [Dip(3.0, 3.0), Dip(5.0, 10.0)], 0.0).night == pytest.approx(10e6)


def test_the_dip_that_lasts_longest_stands_for_all() -> None:
    levels = [Stream(30e6, 0.2), Stream(35e6, 0.1), Stream(40e6, 0.0)]
    told = streaming(levels, [Dip(0.2, 10.0), Dip(5.0, 60.0), Dip(3.0, 3.0)])
    assert (told.night_mb_per_s, told.skipped) == (Range3(30.0, 35.0, 40.0), Range3(0.0, 0.1, 0.2))
    assert (told.dip_s, told.dip_every_s) == (5.0, 60.0)
    assert (streaming(levels, []).dip_s, streaming(levels, []).dip_every_s) == (0.0, None)
