"""A part that falls out in the night, in words: when, why, for how long, and what it takes with it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.model.plain import plain
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.power import FallOut

MOST_NAMED = 4


def fall_words(fall: FallOut, first: bool = False) -> str:
    """One part: `hub falls out at dusk for 20 min, while camera draws its peak, and takes guider with it`."""
    said = f"{plain(fall.part)} {'may fall' if fall.level == 'low' else 'falls'} out{' first,' if first else ''} "
    said += when_words(fall)
    taken = taken_words(fall)
    return f"{said}, and takes {taken} with it" if taken else said


def when_words(fall: FallOut) -> str:
    """`after 5.2 h`, `at dusk for 20 min, while camera draws its peak`."""
    said = "at dusk" if fall.at_s == 0 else f"after {fall.at_s / 3600:.1f} h"
    if fall.battery_low:
        return said
    if fall.lasts_s is None and not fall.raised:
        return "in normal work" if fall.at_s == 0 else said
    said += "" if fall.lasts_s is None else f" for {_span(fall.lasts_s)}"
    return said + (f", while {listed(fall.raised, MOST_NAMED)} {_draw(fall.raised)}" if fall.raised else "")


def taken_words(fall: FallOut) -> str:
    """The parts that go with it, in a row; empty where none do."""
    return listed((*fall.dark, *fall.cut_off), MOST_NAMED) if fall.dark or fall.cut_off else ""


def in_turn(falls: Sequence[FallOut], most: int = 2) -> str:
    """The first to fall out, with what it takes; then those that it did not take, together where they go together."""
    left: list[FallOut] = []
    gone: set[str] = set()
    for fall in falls:
        if fall.part not in gone:
            left.append(fall)
            gone.update((fall.part, *fall.dark, *fall.cut_off))
    said = [fall_words(left[0], first=True)]
    for when, group in itertools.groupby(left[1:], when_words):
        names = [each.part for each in group]
        said.append(f"then {listed(names, MOST_NAMED)}, {'at the same time' if when == when_words(left[0]) else when}")
    return "; ".join(said[: most + 1]) + ("; then more" if len(said) > most + 1 else "")


def _span(seconds: float) -> str:
    return f"{seconds / 3600:.1f} h" if seconds >= 5400 else f"{seconds / 60:.0f} min"


def _draw(parts: Sequence[str]) -> str:
    return "draws its peak" if len(parts) == 1 else "draw their peak"
