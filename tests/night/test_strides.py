"""Pictures in strides against the same pictures frame by frame."""

from __future__ import annotations

import math
from random import Random

import pytest

from topo.night.loop import HeldUp, Loop, Sway
from topo.night.strides import strides, strode
from topo.night.swing import swung

CLOSE = 1e-9
"""arcsec^2: star images have some 0.3."""


def drawn(pick: Random) -> tuple[Sway, Loop, float, float, float, list[HeldUp]]:
    """A mount, a loop, when it is followed from, when a shutter opens and closes, and what comes late."""
    loop = Loop(pick.choice((0.0, 0.5, 2.0, 5.0 * pick.random())), pick.choice((0.2, 0.9)),
                pick.choice((0.2, 0.65, 1.0, 1.3)))
    cycle = loop.exposure_s + loop.after_s
    period = pick.choice((5.0, 431.0, 480.0, 4.0 + 600.0 * pick.random(), cycle, 2.0 * cycle))
    sway = Sway(((30.0 * pick.random(), 2.0 * math.pi / period, 7.0 * pick.random()),), pick.choice((0.0, 0.2, -0.3)))
    opened = 12.0 * cycle
    closed = opened + pick.choice((1.0, 20.0, 120.0, 300.0))
    late: list[HeldUp] = []
    for _ in range(pick.choice((0, 1, 2, 3))):
        every = pick.choice((cycle, 1.03 * cycle, 60.0, 1.0 + 50.0 * pick.random()))
        by = pick.choice((0.07, 1.5, 4.0 * pick.random(), 0.5 if pick.random() < 0.9 else math.inf))
        at = pick.random() * every
        while at < closed:
            late.append((at, at, by, pick.random() < 0.1))
            at += every
    if pick.random() < 0.3:
        late.append((0.0, closed * pick.random(), 0.2 * pick.random(), pick.random() < 0.2))
    return sway, loop, -cycle * pick.random(), opened, closed, sorted(late)


@pytest.mark.parametrize("chunk", range(4))
def test_a_picture_in_strides_is_the_picture_frame_by_frame(chunk: int) -> None:
    pick = Random(f"strides {chunk}")
    for _ in range(150):
        case = drawn(pick)
        whole, soon = swung(*case), strode(*case)
        assert soon.variance == pytest.approx(whole.variance, rel=1e-6, abs=CLOSE), case
        assert soon.square == pytest.approx(whole.square, rel=1e-6, abs=CLOSE), case


def test_a_mount_that_turns_once_or_twice_in_a_cycle_is_followed_frame_by_frame() -> None:
    """There 1 - e^(iwT), or 1 - e^(2iwT), is 0."""
    loop = Loop(2.0, 0.5, 0.65)
    for turns in (1.0, 0.5, 1.0 + 1e-9):
        sway = Sway(((4.0, 2.0 * math.pi * turns / 2.5, 1.0),), 0.1)
        assert strode(sway, loop, 0.0, 30.0, 150.0).variance == pytest.approx(swung(
            sway, loop, 0.0, 30.0, 150.0).variance, rel=1e-9)


def test_what_comes_late_after_the_shutter_has_closed_changes_nothing_at_all() -> None:
    """Not even by a rounding: such a picture counts as one that nothing met."""
    sway, loop = Sway(((20.0, 2.0 * math.pi / 431.0, 1.0),), 0.2), Loop(2.0, 0.4, 0.65)
    quiet = strode(sway, loop, 0.0, 28.8, 148.8)
    assert strode(sway, loop, 0.0, 28.8, 148.8, [(148.7, 148.7, 1.5, False)]) == quiet
    assert strode(sway, loop, 0.0, 28.8, 148.8, [(140.0, 140.0, 1.5, False)]) != quiet


def test_strides_are_cut_where_frames_begin_to_take_longer() -> None:
    """A cycle of 2.5 s: frames are ready at 2.5, 5, 7.5; the third waits 1 s; those after it are ready at 11, 13.5."""
    loop = Loop(2.0, 0.5, 0.65)
    assert strides(loop, 0.0, 13.0, [(7.6, 7.6, 1.0, False)]) == [
        (0.0, 2.5, 2, True), (5.0, 3.5, 1, True), (8.5, 2.5, 2, True)]
    assert strides(loop, 0.0, 8.0, [(0.0, 9.0, 0.5, False)]) == [(0.0, 3.0, 2, True), (6.0, 2.5, 1, True)]
    assert strides(loop, 0.0, 6.0, [(2.5, 2.5, 0.0, True)]) == [(0.0, 2.5, 1, False), (2.5, 2.5, 2, True)]
