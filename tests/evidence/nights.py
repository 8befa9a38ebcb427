"""Nights made up for tests: guide frames, downloads and glitches whose true connection is known."""

from __future__ import annotations

import io
import random
from dataclasses import dataclass

from topo.evidence.open import Source
from topo.evidence.tables.reader import read
from topo.model.evidence import Handed

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
