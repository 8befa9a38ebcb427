"""One exposure's end, close up: the download, guide frames as planned and as they come, the mount's error meanwhile.

Shown is the meeting in the middle of all those that nights bring, on the likely rig, guide cameras served last; where
no download meets a frame, a download in the middle of a night. The mount is at its fastest there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from topo.frozen import frozen
from topo.model.night import NEVER, Late
from topo.night.cost import corner
from topo.night.loop import Due, Loop, Sway, due_of, met_by, on_time, run
from topo.night.run import Draw, pulses

if TYPE_CHECKING:
    from topo.model.night import GuideNight, Guiding, Night, NightPlan, ShootingNight
    from topo.night.loop import Segment
    from topo.night.outcome import Nights
    from topo.night.run import Cast

SEEDS = 6
"""Nights from which the meeting in the middle is taken. Where a guide camera shares no scarce link, nothing holds its
frames up, and one night shows as much."""

BEFORE, AFTER = 2.3, 2.6
"""Guide cycles shown before the shutter closes, and after all is through."""

MORE = 6
"""Cycles that are followed past those, for a strip that is as long as another beside it."""

NEAR_S = 30.0
"""Seconds about a download in which late frames are looked for."""

RUN_IN = 14
"""Cycles of the loop before what is shown."""


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

    `met` of `downloads` downloads held a guide frame back. `late_s` is how late the frame came that is shown (0: none
    was late), `arcsec` how far the mount went meanwhile. `others` are downloads of other cameras: who, from, until.
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
    met: int
    downloads: int
    others: tuple[tuple[str, float, float], ...] = ()


class DrawnNights:
    """Nights that were drawn, from one seed: those of a plan that changes nothing of them are drawn once."""

    def __init__(self, seed: int = 0) -> None:
        self.seed = seed
        self._known: list[tuple[NightPlan, Cast, list[Night]]] = []

    def first(self, nights: Nights, count: int) -> list[Night]:
        """So many nights, on the likely rig, guide cameras served last."""
        plan, cast = nights.plan, nights.casts["likely"]
        drawn = next((drawn for *same, drawn in self._known if same == [plan, cast]), None)
        if drawn is None:
            drawn = []
            self._known.append((plan, cast, drawn))
        drawn += [nights.of("likely", "last", Draw(self.seed + number)) for number in range(len(drawn), count)]
        return drawn[:count]


def worst_moment(nights: Nights, draws: DrawnNights) -> CloseUp | None:
    """The moment of the guide camera and the pictures that sharing hits most: lost frames first, then the latest."""
    drawn = _drawn(nights, [guide.camera for guide in nights.plan.guiding], draws)
    found = [
        made for guide in nights.plan.guiding for shot in nights.plan.shooting
        if shot.pictures and (made := _moment(nights, drawn, guide.camera, shot.camera)) is not None
    ]
    return max(found, key=lambda each: (*_harm(each), each.met / each.downloads), default=None)


def moment(nights: Nights, guide: str, camera: str, draws: DrawnNights) -> CloseUp | None:
    """The middle one of the meetings of a camera's downloads with a guide camera's frames; None where there are no
    downloads of that camera, or no such guide camera."""
    return _moment(nights, _drawn(nights, [guide], draws), guide, camera)


def _harm(each: CloseUp) -> tuple[bool, float]:
    return any(frame.lost for frame in each.came), each.late_s


def _drawn(nights: Nights, guides: list[str], draws: DrawnNights) -> list[Night]:
    shares = any(len(group) > 1 and any(flow.name in guides for flow in group) for group in nights.scarce)
    return draws.first(nights, SEEDS if shares else 1)


def _moment(nights: Nights, drawn: list[Night], guide: str, camera: str) -> CloseUp | None:
    loops = [each for each in nights.plan.guiding if each.camera == guide]
    found: list[_Meeting] = []
    for night in drawn:
        took = next((each for each in night.guiding if each.camera == guide), None)
        shot = next((each for each in night.shooting if each.camera == camera), None)
        if took is not None and shot is not None:
            others = tuple(each for each in night.shooting if each is not shot)
            found += list(_meetings(took, shot, others))
    if not found or not loops:
        return None
    met = sorted((each for each in found if each.met), key=lambda each: each[:2])
    chosen = met[len(met) // 2] if met else found[len(found) // 2]
    return _close_up(nights, loops[0], camera, chosen, len(met), len(found))


class _Meeting(NamedTuple):
    """Lateness of the frame held back longest, when the shutter closes, when the download ends, when it opens again,
    whether a frame was held back or lost, all that is late about then, and the downloads of other cameras."""

    by: float
    closed: float
    ends: float
    opens: float
    met: bool
    near: tuple[Late, ...]
    others: tuple[ShootingNight, ...]


def _meetings(took: GuideNight, shot: ShootingNight, others: tuple[ShootingNight, ...]) -> Iterator[_Meeting]:
    opened = [opens for opens, _ in shot.pictures]
    for closed, ends in shot.downloads:
        near = took.late_within(closed - NEAR_S, ends + NEAR_S)
        here = [late for late in near if _during(late, closed, ends)]
        by = max((late.by_s for late in here), default=0.0)
        opens = next((at for at in opened if at >= closed), math.inf)
        yield _Meeting(by, closed, ends, opens, bool(here), near, others)


def _during(late: Late, closed: float, ends: float) -> bool:
    """Whether a frame was due while a download ran; those that are late all the time meet it too."""
    return late.at_s <= ends + 1.0 and max(late.until_s, late.at_s + min(late.by_s, 1e9)) >= closed


def _close_up(nights: Nights, plan: Guiding, camera: str, chosen: _Meeting, met: int, downloads: int) -> CloseUp:
    by, closed, ends, opens, _, near, others = chosen
    cast = nights.casts["likely"]
    here = corner("likely", plan, nights.plan.seeing_arcsec)
    after = cast.fixed_s[plan.camera] + plan.overhead_s.likely + pulses(plan, "likely")[0]
    loop = Loop(plan.exposure_s, cast.alone_s[plan.camera] + after, here.gain)
    cycle = loop.exposure_s + loop.after_s
    first = min((late for late in near if _during(late, closed, ends)), key=lambda late: late.at_s, default=None)
    anchor = first.at_s if first is not None and first.until_s <= first.at_s else closed + cycle / 3.0
    start = anchor - (RUN_IN + math.ceil((anchor - closed) / cycle) + BEFORE) // 1 * cycle
    shown = (closed - BEFORE * cycle, max(ends, anchor + min(by, 4.0 * cycle)) + AFTER * cycle)
    w = 2.0 * math.pi / here.period_s
    sway = Sway(((here.peak_to_peak / 2.0 * here.rougher, w, -w * anchor),), here.drift)
    late = met_by(each for each in near if max(each.at_s, each.until_s) > start)
    end = shown[1] + MORE * cycle
    far, followed = end + cycle, (shown[0] - cycle, end)
    came = run(sway, loop, start, end, due_of(late, cycle, far), True)
    return CloseUp(
        camera, plan.camera, ends - closed, opens - closed,
        tuple(_frames(run(sway, loop, start, end, on_time, True), loop, after, on_time, closed, followed)),
        tuple(_frames(came, loop, after, due_of(late, cycle, far), closed, followed)),
        tuple(_error(sway, came, closed, followed)), shown[0] - closed, shown[1] - closed,
        by, abs(sway.rate(anchor)) * by if by < NEVER else NEVER, met, downloads,
        tuple(_downloads(others, closed, shown)),
    )


def _downloads(
    others: tuple[ShootingNight, ...], closed: float, shown: tuple[float, float]
) -> Iterator[tuple[str, float, float]]:
    for shot in others:
        for begins, ends in shot.downloads:
            if begins < shown[1] and ends > shown[0]:
                yield shot.camera, begins - closed, ends - closed


def _frames(
    segments: list[Segment], loop: Loop, after: float, due: Due, closed: float, shown: tuple[float, float]
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
            yield GuideFrame(since - closed, since + loop.exposure_s - closed, comes - closed, not used)


def _error(
    sway: Sway, segments: list[Segment], closed: float, shown: tuple[float, float]
) -> Iterator[tuple[float, float]]:
    """The error over time: straight pieces between corrections, which jump."""
    for low, high, correction in segments:
        low, high = max(low, shown[0]), min(high, shown[1])
        if high > low:
            for part in range(5):
                at = low + (high - low) * part / 4.0
                yield at - closed, sway.at(at) - correction
