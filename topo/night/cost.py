"""What late and lost guide frames cost the pictures: the guide loop run around them, with and without.

For each picture with something late in it or just before it, the loop runs twice over the same mount without star
noise: as the frames came, and as they would have come with nothing else on the links. Star noise and seeing are added
in squares afterwards. A picture that meets nothing is the same both ways.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from random import Random
from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen
from topo.model.night import Cost, GuideNight, Guiding, ShootingNight
from topo.night.forms import eccentricity, noise_gain, width
from topo.night.loop import HeldUp, Loop, Picture, Sway, due_of, met_by, picture, run
from topo.night.strides import variance
from topo.night.swing import swung

if TYPE_CHECKING:
    from topo.model.facts import Range3

BEFORE_CYCLES = 12
"""Cycles of the loop before a shutter opens that are run too: lateness just before it reaches into the picture."""

SPOILS = 0.10
"""A picture that sharing widens by more is spoiled. A star that is thrown past its own width for a twentieth of the
time is among them: f (1 - f) x^2 with x = 2.355 sigma adds 12 %. For less, its ghost is over 3 magnitudes fainter."""

MOST_UNDISTURBED = 4096
"""Pictures with nothing late in them that are remembered."""

CornerName = Literal["harsh", "likely", "mild"]


@frozen
class Corner:
    """Where in each assumed range to stand. `harsh` is what makes lateness show most: a restless mount, little star
    noise, good seeing; `mild` the opposite."""

    name: CornerName
    peak_to_peak: float
    period_s: float
    rougher: float
    drift: float
    noise: float
    gain: float
    seeing: float


def corner(name: CornerName, guiding: Guiding, seeing: Range3) -> Corner:
    """The corner of that name for one guide loop."""
    mount = guiding.mount
    restless, quiet = {"harsh": ("high", "low"), "likely": ("likely", "likely"), "mild": ("low", "high")}[name]
    return Corner(
        name,
        getattr(mount.peak_to_peak_arcsec, restless),
        getattr(mount.period_s, quiet),
        getattr(mount.rougher, restless),
        mount.drift_arcsec_per_s,
        getattr(guiding.noise_arcsec, quiet),
        guiding.gain.likely,
        getattr(seeing, quiet),
    )


@frozen
class Pair:
    """One picture: variance on the guided axis (arcsec^2) without and with what came late, and with it the largest
    excursion, arcsec, None where that was not asked for."""

    without: float
    with_: float
    excursion: float | None


def sway_of(corner: Corner, dice: Random) -> Sway:
    """The mount of a corner at a phase of its own."""
    w = 2.0 * math.pi / corner.period_s
    size = corner.peak_to_peak / 2.0 * corner.rougher
    return Sway(((size, w, dice.random() * 2.0 * math.pi),), corner.drift)


def pairs_of(
    sway: Sway, corner: Corner, guiding: Guiding, after_s: float, guide: GuideNight, shot: ShootingNight, most: int
) -> list[Pair]:
    """The pictures of one night, each both ways. At most `most` of those that meet something are followed, spread
    evenly over the night. `after_s`: what a guide cycle takes besides its exposure."""
    loop = Loop(guiding.exposure_s, after_s, corner.gain)
    cycle = loop.exposure_s + after_s
    before = BEFORE_CYCLES * cycle
    met = [span for span in shot.pictures if guide.late_within(span[0] - before, span[1])]
    step = max(1, math.ceil(len(met) / most))
    chosen = met[::step]
    found = [_both(sway, loop, opened, closed, before, met_by(guide.late_within(opened - before, closed)))
             for opened, closed in chosen]
    # Those that meet nothing, in their share of the chosen ones.
    quiet = [span for span in shot.pictures if not guide.late_within(span[0] - before, span[1])]
    for opened, closed in quiet[::step]:
        same = _followed(sway, loop, opened - 2.0 * cycle, opened, closed)
        found.append(Pair(same.variance, same.variance, same.excursion))
    return found


def worst_pairs(
    here: Corner, guiding: Guiding, after_s: float, exposure_s: float, always_s: float,
    others: Sequence[tuple[float, float, bool]], count: int, dice: Random,
) -> Iterator[Pair]:
    """Pictures at the worst phases, both ways: every frame late by `always_s`, and one frame late by the whole of it in
    each download of the others (seconds from one to the next, lateness, whether it is the camera's own: then its late
    frame comes as the shutter opens)."""
    loop = Loop(guiding.exposure_s, after_s, here.gain)
    before = BEFORE_CYCLES * (loop.exposure_s + after_s)
    opened, closed = before, before + exposure_s
    for _ in range(count):
        sway = sway_of(here, dice)
        beats = [(opened if own else dice.random() * every_s, every_s, by_s) for every_s, by_s, own in others]
        first = min((at for at, _, _ in beats if at < closed), default=None) if not always_s else 0.0
        start = _start(loop, opened, before, first)
        with_ = variance(sway, loop, start, opened, closed, always_s, beats)
        yield Pair(_undisturbed_variance(sway, loop, start, opened, closed), with_, None)


def _start(loop: Loop, opened: float, before: float, first: float | None) -> float:
    """When a loop is started so that one of its frames is due exactly when the first late one was, if any is."""
    cycle = loop.exposure_s + loop.after_s
    first = opened if first is None else max(first, opened - before)  # a rare download may miss this picture
    return first - math.ceil((first - opened + before) / cycle) * cycle if first > opened - before else first - cycle


def _both(sway: Sway, loop: Loop, opened: float, closed: float, before: float, late: Sequence[HeldUp]) -> Pair:
    """A picture both ways."""
    start = _start(loop, opened, before, late[0][0] if late else None)
    plain = _undisturbed(sway, loop, start, opened, closed)
    with_ = _followed(sway, loop, start, opened, closed, late)
    return Pair(plain.variance, with_.variance, with_.excursion)


def _followed(
    sway: Sway, loop: Loop, start: float, opened: float, closed: float, late: Sequence[HeldUp] = ()
) -> Picture:
    """A picture of a loop that has run for long, from `start`, with what came late."""
    if len(sway.terms) == 1:
        return swung(sway, loop, start, opened, closed, late)
    due = due_of(late, loop.exposure_s + loop.after_s, closed)
    return picture(sway, run(sway, loop, start, closed, due, True), opened, closed)


@lru_cache(maxsize=MOST_UNDISTURBED)
def _undisturbed(sway: Sway, loop: Loop, start: float, opened: float, closed: float) -> Picture:
    """The same with nothing late: what is late by another time leaves this as it is, so plans share it."""
    return _followed(sway, loop, start, opened, closed)


_undisturbed_variance = lru_cache(maxsize=MOST_UNDISTURBED)(variance)
"""The same of its variance alone."""


def cost(corner: Corner, nights: Sequence[Sequence[Pair]], worst_night: bool) -> Cost:
    """The pictures of many nights in one figure, at least one. `worst_night`: the 95th of the worst night, not of all
    together."""
    noise = corner.noise**2 * noise_gain(corner.gain)
    everything = [pair for night in nights for pair in night]
    groups = [night for night in nights if night] if worst_night else [everything]
    widening = max(_widening(corner, noise, group, 0.95) for group in groups)
    middle = max(_widening(corner, noise, group, 0.5) for group in groups)
    without, with_ = _at(0.5, [p.without for p in everything]), _at(0.5, [p.with_ for p in everything])
    worst = _at(0.95, [p.without for p in everything]), _at(0.95, [p.with_ for p in everything])
    spoiled = [is_spoiled(corner, pair) for pair in everything]
    return Cost(
        corner.name, math.sqrt(without + noise), math.sqrt(with_ + noise), middle, widening,
        eccentricity(corner.seeing, worst[0] + noise, noise), eccentricity(corner.seeing, worst[1] + noise, noise),
        _excursion(everything),
        sum(spoiled) / len(spoiled),
        max(0.0, *(width(corner.seeing, p.with_ + noise) / width(corner.seeing, p.without + noise) - 1.0
                   for p in everything)),
    )


def _excursion(pairs: Sequence[Pair]) -> float | None:
    """The largest that sharing caused; None where it was not asked for."""
    if any(pair.excursion is None for pair in pairs):
        return None
    return max((p.excursion for p in pairs if p.excursion is not None and p.with_ != p.without), default=0.0)


def is_spoiled(corner: Corner, pair: Pair) -> bool:
    """Whether sharing widens a picture by more than `SPOILS`."""
    noise = corner.noise**2 * noise_gain(corner.gain)
    return width(corner.seeing, pair.with_ + noise) > (1.0 + SPOILS) * width(corner.seeing, pair.without + noise)


def _widening(corner: Corner, noise: float, pairs: Sequence[Pair], share: float) -> float:
    """How much wider the picture that this share stay below is with sharing; below 0 only by the shift of phases."""
    without, with_ = _at(share, [p.without for p in pairs]), _at(share, [p.with_ for p in pairs])
    return max(0.0, width(corner.seeing, with_ + noise) / width(corner.seeing, without + noise) - 1.0)


def _at(share: float, values: Sequence[float]) -> float:
    """The value that this share of them stay below."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]
