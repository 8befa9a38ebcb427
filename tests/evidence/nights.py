"""Nights made up for tests: guide frames, downloads and glitches whose true connection is known."""

from __future__ import annotations

import io
import random
from dataclasses import dataclass
from functools import cache

from topo.analysis.study import Study
from topo.evidence.open import Source
from topo.evidence.tables.reader import read
from topo.model.evidence import Handed
from topo.night.outcome import Nights
from topo.night.planned import nights_of
from topo.night.run import Draw
from topo.pipeline import rig_of
from topo.rigfile.read import read_text

START = 1_795_550_000.0


@dataclass(frozen=True)
class Night:
    """Times in s since the start: guide frames, frames as (start, exposure, file closed), dithers."""

    guide: tuple[float, ...]
    frames: tuple[tuple[float, float, float], ...]
    dithers: tuple[float, ...]

    def sources(self) -> tuple[Source, ...]:
        """The night as tables of a person."""
        rng = random.Random(len(self.guide))
        guide = "".join(f"{START + t:.3f},{rng.gauss(0, 0.4):.3f},{rng.gauss(0, 0.4):.3f}\n" for t in self.guide)
        frames = "".join(f"{START + a:.3f},{e:.1f},{START + c:.3f}\n" for a, e, c in self.frames)
        made = [
            table("guide.csv", "time,ra,dec (arcsec)\n" + guide),
            table("frames.csv", "start,exposure,closed\n" + frames),
        ]
        if self.dithers:
            made.append(
                table("actions.csv", "time,event\n" + "".join(f"{START + t:.3f},dither\n" for t in self.dithers))
            )
        return tuple(made)


def table(name: str, text: str) -> Source:
    """A table as a source."""
    return Source(name, "table", read(io.BytesIO(text.encode()), Handed(name)))


def frames_of(
    hours: float, exposures: tuple[float, ...], rng: random.Random, dither_every: int
) -> tuple[list[tuple[float, float, float]], list[float]]:
    """Pictures one after the other, a download of about 1 s each, a dither after each few."""
    at, frames, dithers = rng.random() * 20, [], []
    while at < hours * 3600:
        exposure = exposures[len(frames) % len(exposures)] if len(exposures) == 1 else rng.choice(exposures)
        done = at + exposure + 0.9 + 0.3 * rng.random()
        frames.append((at, exposure, done))
        at = done + 0.5
        if dither_every and len(frames) % dither_every == 0:
            dithers.append(at)
            at += 8.0
    return frames, dithers


def night(
    seed: int,
    hours: float = 6.0,
    exposures: tuple[float, ...] = (110.0, 120.0, 135.0),
    caused: float = 0.0,
    stray: int = 20,
    dither_every: int = 0,
    bursts: bool = False,
    cadence: float = 2.0,
) -> Night:
    """A night. `caused` is the share of downloads with a late guide frame; `stray` late ones depend on nothing."""
    rng = random.Random(seed)
    frames, dithers = frames_of(hours, exposures, rng, dither_every)
    late_at = [begin + exposure for begin, exposure, _ in frames if rng.random() < caused]
    for _ in range(stray):
        first = rng.random() * hours * 3600
        late_at += [first + 6 * n for n in range(4)] if bursts and rng.random() < 0.3 else [first]
    late_at.sort()
    guide, at, place = [], rng.random() * cadence, 0
    while at < hours * 3600:
        guide.append(at)
        step = cadence + rng.gauss(0, 0.03)
        while place < len(late_at) and late_at[place] < at:
            place += 1
        if place < len(late_at) and late_at[place] <= at + cadence:
            step += 1.3 + 0.7 * rng.random()
            place += 1
        at += max(0.1, step)
    return Night(tuple(guide), tuple(frames), tuple(dithers))


APART = """\
rig: Apart
computer:
  controllers: {one: {}, two: {}}
  ports: {usb3-1: {controller: one, speed: super}, usb2-1: {controller: two, speed: high}}
devices:
  main-camera: {role: imaging, width_px: 6248, height_px: 4176, speed: super, plug: computer/usb3-1,
                use: {exposure_s: EXPOSURE}}
  guide-camera: {role: guiding, width_px: 1280, height_px: 960, speed: high, plug: computer/usb2-1,
                 use: {exposure_s: 2}}
night: {hours: HOURS, dither_every: DITHER, focus_every_min: 45}
"""
"""Two cameras on controllers of their own: nothing that either does reaches the other."""


@cache
def planned(exposure: float, hours: float, dither_every: int) -> Nights:
    """The nights of that rig, as `topo night` has them."""
    text = APART.replace("EXPOSURE", f"{exposure:g}").replace("HOURS", f"{hours:g}")
    study = Study(rig_of(read_text(text.replace("DITHER", str(dither_every)), "rig.yaml")))
    return nights_of(study.topology, study.traffic)


def simulated(seed: int, stray: int = 20, exposure: float = 120.0, hours: float = 4.0, dither_every: int = 3) -> Night:
    """A night that `topo night` simulates, its pictures, downloads and dithers; late guide frames depend on nothing."""
    made = planned(exposure, hours, dither_every).of("likely", "last", Draw(seed))
    (shot,) = made.shooting
    assert not made.guiding[0].late
    ends = {round(begin, 6): end for begin, end in shot.downloads}
    frames = [(opened, closed - opened, next((e for b, e in ends.items() if b >= closed - 1e-3), closed + 1.0))
              for opened, closed in shot.pictures]  # fmt: skip
    dithers = tuple(each.at_s for each in made.happenings if each.kind == "dither")
    rng = random.Random(f"strays {seed}")
    late = sorted(rng.random() * made.seconds for _ in range(stray))
    guide, at, place = [], rng.random() * 2.0, 0
    while at < made.seconds:
        guide.append(at)
        step = 2.5 + rng.gauss(0, 0.03)
        while place < len(late) and late[place] < at:
            place += 1
        if place < len(late) and late[place] <= at + 2.5:
            step += 1.6 + 0.7 * rng.random()
        at += step
    return Night(tuple(guide), tuple(frames), dithers)
