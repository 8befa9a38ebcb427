"""What a night brings, as it is told: guide frames, pictures, streams and the dark time of downloads, over many nights.

Every figure is a quantile over nights that differ in the phases of everything and in throughput; what the pictures
cost stands at three corners of all that is assumed. Nothing here judges or prints.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.night import DISCIPLINES
from topo.night.outcome import LEVEL_OF, Nights, costs_of, cycle_of, lateness, spread, whole_nights

if TYPE_CHECKING:
    from topo.model.night import Cost, Lateness, Night, NightPlan, ShootingNight, Spread


SLIGHT_S = 1e-3
"""A frame that is late by less is on time for whoever reads it."""

POINTS = 200
"""Points of a curve of lateness, about."""


@frozen
class GuideTonight:
    """A guide camera: its cycle with nothing else on its links, and its lateness under each way of sharing.

    `late_s`: for each of them, how late frames come that are late by a millisecond or more; `curves`: seconds and the
    share of all frames that are later, rising seconds.
    """

    camera: str
    cycle_s: float
    lateness: tuple[Lateness, ...]
    late_s: tuple[Spread, ...]
    curves: tuple[tuple[tuple[float, float], ...], ...]


@frozen
class CameraTonight:
    """A camera of single frames: pictures of a middle night, the seconds of a night that downloads kept its shutter
    closed, and pictures with bytes lost in an hour."""

    camera: str
    pictures: bool
    count: float
    dark_s: Spread
    lost_per_h: Spread


@frozen
class StreamTonight:
    """A steady flow that asked for more than it got in some night: what it asks for, the least it got, bytes/s, the
    share of a night in which it was short, frames lost in an hour."""

    flow: str
    asked: float
    least: float
    short_share: Spread
    lost_per_h: Spread


@frozen
class PairTonight:
    """What lateness of one guide camera's frames costs one camera's pictures, at the harsh, likely and mild corner."""

    guide: str
    camera: str
    costs: tuple[Cost, ...]


@frozen
class Tonight:
    """All of it. `nights` for each way of sharing."""

    plan: NightPlan
    nights: int
    seed: int
    guides: tuple[GuideTonight, ...]
    pairs: tuple[PairTonight, ...]
    cameras: tuple[CameraTonight, ...]
    streams: tuple[StreamTonight, ...]


def tonight(nights: Nights, count: int, seed: int) -> Tonight:
    """`count` nights for each way of sharing, from a seed. Same nights, count and seed, same answer."""
    whole = whole_nights(nights, count, seed)
    everything = [night for discipline in DISCIPLINES for night in whole[discipline]]
    guides = tuple(
        GuideTonight(each.camera, cycle := cycle_of(each, nights.casts["likely"]), tuple(
            lateness(each.camera, cycle, whole[discipline], discipline) for discipline in DISCIPLINES),
            tuple(_late_s(each.camera, whole[discipline]) for discipline in DISCIPLINES),
            tuple(_curve(each.camera, whole[discipline]) for discipline in DISCIPLINES))
        for each in nights.plan.guiding
    )
    pairs = tuple(
        PairTonight(guide.camera, shot.camera, tuple(corners.values()))
        for guide in nights.plan.guiding for shot in nights.plan.shooting if shot.pictures
        if len(corners := costs_of(nights, guide, shot.camera, seed=seed)) == len(LEVEL_OF)
    )
    cameras = tuple(_camera(each.camera, each.pictures, everything) for each in nights.plan.shooting)
    return Tonight(nights.plan, count, seed, guides, pairs, cameras, tuple(_streams(nights, everything)))


def _late_s(camera: str, nights: Sequence[Night]) -> Spread:
    """Without frames that lose bytes and come in time, or meet a poll."""
    return spread((one.by_s, one.frames) for night in nights for each in night.guiding if each.camera == camera
                  for one in each.late if one.by_s >= SLIGHT_S)


def _curve(camera: str, nights: Sequence[Night]) -> tuple[tuple[float, float], ...]:
    """Seconds and the share of all frames that come later; at most `POINTS` of them, the last share 0."""
    guides = [each for night in nights for each in night.guiding if each.camera == camera]
    frames = sum(each.frames for each in guides)
    late = sorted((one.by_s, one.frames) for each in guides for one in each.late)
    left = sum(count for _, count in late)
    if not frames or not late:
        return ((0.0, 0.0),)
    points = [(0.0, left / frames)]
    for by, count in late:
        left -= count
        if left / frames < points[-1][1] - points[0][1] / POINTS or not left or left < POINTS:
            points.append((by, left / frames))
    return tuple(points)


def _camera(name: str, pictures: bool, nights: Sequence[Night]) -> CameraTonight:
    shots = [(_shot(night, name), night.seconds) for night in nights]
    return CameraTonight(
        name, pictures,
        spread((len(shot.pictures), 1) for shot, _ in shots).typical,
        spread((shot.dark_s, 1) for shot, _ in shots),
        spread((len(shot.lost) * 3600.0 / seconds, 1) for shot, seconds in shots),
    )


def _shot(night: Night, name: str) -> ShootingNight:
    return next(each for each in night.shooting if each.camera == name)


def _streams(nights: Nights, everything: Sequence[Night]) -> Iterable[StreamTonight]:
    asked = {flow.name: flow.cap for flow in nights.casts["high"].flows if flow.steady}
    for index, first in enumerate(everything[0].streams if everything else ()):
        found = [night.streams[index] for night in everything]
        if all(each.short_s <= 0.0 for each in found):
            continue
        yield StreamTonight(
            first.flow, asked[first.flow],
            min(each.slowest_bytes_per_s for each in found),
            spread((each.short_s / night.seconds, 1) for each, night in zip(found, everything, strict=True)),
            spread((each.frames_lost * 3600.0 / night.seconds, 1)
                   for each, night in zip(found, everything, strict=True)),
        )
