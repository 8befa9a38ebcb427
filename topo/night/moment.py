"""One exposure's end, close up: the download, guide frames as planned and as they come, the mount's error meanwhile.

Shown is the worst there can be, the coincidence that the verdict rests on: everything starts in the same moment, links
carry least, guide cameras are served last, frames wait, and the mount swings most and is at its fastest. So the picture
has the figures of the words beside it, and where it shows a frame on time, none comes late.
"""

from __future__ import annotations

import math
from operator import itemgetter
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.night import NEVER
from topo.night.cost import corner
from topo.night.loop import Loop, Sway, due_of, on_time, run
from topo.night.situation import lost_after_s, worst_met
from topo.night.verdict import after_s, alone_s, chances

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from topo.model.night import GuideDelay, Shooting
    from topo.model.outcome import Lost
    from topo.night.loop import Due, HeldUp, Segment
    from topo.night.situation import Situation

BEFORE, AFTER = 2.3, 2.6
"""Guide cycles shown before the shutter closes, and after all is through."""

MORE = 6
"""Cycles that are followed past those, for a strip that is as long as another beside it."""

MOST_WAIT = 4.0
"""Cycles of a wait that are shown, and of a download."""

RUN_IN = 14
"""Cycles of the loop before what is shown."""

LOSSES: tuple[Lost, ...] = ("no", "possible", "certain")
"""From mild to harsh."""


@frozen
class GuideFrame:
    """A guide exposure and its frame, seconds from the shutter's closing; `comes_s` may be `NEVER`."""

    opens_s: float
    closes_s: float
    comes_s: float
    lost: bool = False


@frozen
class CloseUp:
    """An exposure's end. Times are seconds from the shutter's closing, the error arcsec from the lock position.

    `late_s` is how late the frame comes that is shown (0: none is late), `arcsec` how far the mount goes meanwhile,
    `always_s` what every frame is late by, `lost` whether frames are lost. `met` is the camera of whose downloads most
    delay a guide frame, and the share of them; None where no download does. `others` are downloads of other cameras:
    who, from, until.
    """

    camera: str
    guide: str
    download_s: float
    opens_s: float
    planned: tuple[GuideFrame, ...]
    came: tuple[GuideFrame, ...]
    error: tuple[tuple[float, float], ...]
    from_s: float
    until_s: float
    late_s: float
    arcsec: float
    always_s: float
    lost: Lost
    met: tuple[str, float] | None
    others: tuple[tuple[str, float, float], ...] = ()


def worst_of(guides: Iterable[tuple[Situation, GuideDelay]]) -> tuple[str, str] | None:
    """The guide camera that sharing hits most, lost frames first, then the latest; and the camera of whose downloads
    most delay its frames, the first that takes pictures where none does. None where either is missing."""
    found: list[tuple[tuple[int, float, float], tuple[str, str]]] = []
    for here, delay in guides:
        shooting = {each.camera for each in here.plan.shooting}
        met = [each for each in chances(here.waiting).items() if each[0] in shooting]
        met += [(each.camera, 0.0) for each in here.pictures]
        if met:
            camera, share = max(met, key=_share)
            found.append(((LOSSES.index(delay.lost), delay.late_last_s.high, share), (here.guide, camera)))
    return max(found, key=lambda each: each[0])[1] if found else None


_share = itemgetter(1)


def close_up(here: Situation, delay: GuideDelay, shot: Shooting, apart_s: float) -> CloseUp:
    """The worst end of an exposure of a camera. `apart_s` is its download where it has nothing to do with the guide
    camera."""
    at = corner("harsh", here.guiding, here.plan.seeing_arcsec)
    loop = Loop(here.guiding.exposure_s, after_s(here, "low"), at.gain)
    cycle, due_at, by = loop.exposure_s + loop.after_s, loop.after_s, delay.late_last_s.high
    ends = _ends(here)
    download = ends.pop(shot.camera, apart_s)
    most = MOST_WAIT * cycle
    shown = -BEFORE * cycle, max(min(download, most), due_at + min(by, most)) + AFTER * cycle
    followed = shown[0] - cycle, shown[1] + MORE * cycle
    w = 2.0 * math.pi / at.period_s
    sway = Sway(((at.peak_to_peak / 2.0 * at.rougher, w, -w * due_at),), at.drift)
    planned = run(sway, loop, _start(loop, 0.0), followed[1], on_time, True)
    came = run(sway, loop, _start(loop, delay.always_s), followed[1], _due(here, delay, followed[1], "certain"), True)
    due = _due(here, delay, followed[1], "possible")
    after = loop.after_s - alone_s(here, "low")
    return CloseUp(
        shot.camera, here.guide, download, 0.0 if shot.overlapped else download + shot.gap_s,
        tuple(_frames(planned, loop, after, on_time, followed)), tuple(_frames(came, loop, after, due, followed)),
        tuple(_error(sway, came, followed)), *shown, by, abs(sway.rate(due_at)) * by if by < NEVER else NEVER,
        delay.always_s, delay.lost, max(chances(here.waiting).items(), key=_share, default=None),
        tuple((name, 0.0, until) for name, until in ends.items()),
    )


def _start(loop: Loop, always_s: float) -> float:
    """When a loop has to begin whose frames are all late by so much, for an exposure to end as the shutter closes."""
    each = loop.exposure_s + loop.after_s + (always_s if always_s < NEVER else 0.0)
    return -loop.exposure_s - (RUN_IN + math.ceil(BEFORE)) * each


def _ends(here: Situation) -> dict[str, float]:
    """When downloads that hold the guide camera up are through, by their cameras."""
    fixed, met = dict(here.at("low").fixed_s), worst_met(here)
    return {name: met[name].took_s + fixed[name] for name in here.bursts if name in met}


def _due(here: Situation, delay: GuideDelay, until: float, least: Lost) -> Due:
    """When frames come: the one that is due as all of them start, and every frame where what runs all the time is
    enough, are late. As lost counts what the verdict calls so, from `least` on."""
    lost = LOSSES.index(delay.lost) >= LOSSES.index(least)
    all_lost = lost and lost_after_s(here, "low", "last", ()) < math.inf
    due_at = after_s(here, "low")
    cycle = here.guiding.exposure_s + due_at
    late: tuple[HeldUp, ...] = (
        (due_at, due_at, delay.late_last_s.high, lost), (-math.inf, math.inf, delay.always_s, all_lost))
    return due_of(late, cycle, until + cycle)


def _frames(
    segments: list[Segment], loop: Loop, after: float, due: Due, shown: tuple[float, float]
) -> Iterator[GuideFrame]:
    """Exposures and frames of a run of the loop: each exposure begins with the last correction. `after` from a frame's
    coming to its correction; a frame that comes long past all that is shown never comes, as far as one can see."""
    far = shown[1] + loop.exposure_s + loop.after_s
    for number, (since, until, _) in enumerate(segments):
        ready = since + loop.exposure_s + loop.after_s
        _, used = due(ready, number)
        comes = NEVER if until > max(ready, far) + 0.5 else until - after
        comes = max(since + loop.exposure_s, comes)
        if comes > shown[0] and since < shown[1]:
            yield GuideFrame(since, since + loop.exposure_s, comes, not used)


def _error(sway: Sway, segments: list[Segment], shown: tuple[float, float]) -> Iterator[tuple[float, float]]:
    """The error over time: straight pieces between corrections, which jump."""
    for low, high, correction in segments:
        low, high = max(low, shown[0]), min(high, shown[1])
        if high > low:
            for part in range(5):
                at = low + (high - low) * part / 4.0
                yield at, sway.at(at) - correction
