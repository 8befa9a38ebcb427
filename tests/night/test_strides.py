"""The variance of pictures in strides against the same pictures frame by frame."""

from __future__ import annotations

import math
from random import Random

import pytest

from topo.night.loop import HeldUp, Loop, Sway
from topo.night.strides import Recurring, strides, variance
from topo.night.swing import swung

CLOSE = 1e-9
"""arcsec^2: star images have some 0.3."""


def events(closed: float, always_s: float, beats: list[Recurring]) -> list[HeldUp]:
    """What comes late in these beats, one by one."""
    found: list[HeldUp] = [(0.0, closed, always_s, False)] if always_s else []
    for at, every, by in beats:
        while at < closed:
            found.append((at, at, by, False))
            at += every
    return sorted(found)


@pytest.mark.parametrize("chunk", range(4))
def test_a_picture_in_strides_is_the_picture_frame_by_frame(chunk: int) -> None:
    pick = Random(f"strides {chunk}")
    for _ in range(250):
        loop = Loop(pick.choice((0.0, 0.5, 2.0, 5.0 * pick.random())), pick.choice((0.2, 0.9)),
                    pick.choice((0.2, 0.65, 1.0, 1.3)))
        cycle = loop.exposure_s + loop.after_s
        period = pick.choice((5.0, 431.0, 480.0, 4.0 + 600.0 * pick.random(), cycle, 2.0 * cycle))
        sway = Sway(((30.0 * pick.random(), 2.0 * math.pi / period, 7.0 * pick.random()),),
                    pick.choice((0.0, 0.2, -0.3)))
        opened = 12.0 * cycle
        closed = opened + pick.choice((1.0, 20.0, 120.0, 300.0))
        always_s = pick.choice((0.0, 0.0, 0.05, pick.random()))
        beats = []
        for _ in range(pick.choice((0, 1, 1, 2, 3))):
            every = pick.choice((cycle, 1.03 * cycle, 2.0 * cycle, 60.0, 1.0 + 50.0 * pick.random()))
            by = pick.choice((0.07, 0.07, 1.5, 4.0 * pick.random(), 40.0 * pick.random(), math.inf))
            beats.append((opened if pick.random() < 0.2 else pick.random() * every, every, by))
        start = -cycle * pick.random()
        whole = swung(sway, loop, start, opened, closed, events(closed, always_s, beats)).variance
        soon = variance(sway, loop, start, opened, closed, always_s, beats)
        assert soon == pytest.approx(whole, rel=1e-6, abs=CLOSE), (sway, loop, closed, always_s, beats)


def test_a_mount_that_turns_once_or_twice_in_a_cycle_is_followed_frame_by_frame() -> None:
    """There 1 - e^(iwT), or 1 - e^(2iwT), is 0."""
    loop = Loop(2.0, 0.5, 0.65)
    for turns in (1.0, 0.5, 1.0 + 1e-9):
        sway = Sway(((4.0, 2.0 * math.pi * turns / 2.5, 1.0),), 0.1)
        assert variance(sway, loop, 0.0, 30.0, 150.0) == pytest.approx(
            swung(sway, loop, 0.0, 30.0, 150.0).variance, rel=1e-9)


def test_what_comes_late_after_the_shutter_has_closed_changes_nothing_at_all() -> None:
    """Not even by a rounding: such a picture counts as one that nothing met."""
    sway, loop = Sway(((20.0, 2.0 * math.pi / 431.0, 1.0),), 0.2), Loop(2.0, 0.4, 0.65)
    quiet = variance(sway, loop, 0.0, 28.8, 148.7)
    assert variance(sway, loop, 0.0, 28.8, 148.7, 0.0, [(148.0, 60.0, 1.5)]) == quiet
    assert variance(sway, loop, 0.0, 28.8, 148.7, 0.0, [(140.0, 60.0, 1.5)]) != quiet


def test_strides_are_cut_where_frames_begin_to_take_longer() -> None:
    """A cycle of 2.5 s: frames are ready at 2.5, 5, 7.5; the third waits 1 s; the next is ready at 11 s."""
    loop = Loop(2.0, 0.5, 0.65)
    assert strides(loop, 0.0, 13.0) == [(0.0, 2.5, 5), (12.5, 2.5, 1)]
    assert strides(loop, 0.0, 13.0, 0.0, [(7.6, 60.0, 1.0)]) == [
        (0.0, 2.5, 2), (5.0, 3.5, 1), (8.5, 2.5, 1), (11.0, 2.5, 1)]
    assert strides(loop, 0.0, 8.0, 0.5) == [(0.0, 3.0, 2), (6.0, 2.5, 1)]


def test_what_comes_as_often_as_frames_makes_one_stride_of_them_all() -> None:
    """Every 2.5 s, and frames take 3 s with it: each is late, until one of 4 s falls between."""
    loop = Loop(2.0, 0.5, 0.65)
    assert strides(loop, 0.0, 31.0, 0.0, [(2.5, 2.5, 0.5)]) == [(0.0, 3.0, 10), (30.0, 2.5, 1)]
    assert strides(loop, 0.0, 31.0, 0.0, [(2.5, 2.5, 0.5), (14.0, 60.0, 4.0)]) == [
        (0.0, 3.0, 4), (12.0, 6.5, 1), (18.5, 3.0, 3), (27.5, 3.0, 1), (30.5, 2.5, 1)]
