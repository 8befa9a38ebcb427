"""Volts through the night: the plugs with least to spare, hour by hour, what each works from, what falls out when."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from topo.draw.look import Colours
from topo.draw.night_axes import placed
from topo.draw.strip import MARGIN_LEFT, STRIP_INNER
from topo.model.cautions import SHORT
from topo.model.plain import plain
from topo.words.falls import fall_words

if TYPE_CHECKING:
    from topo.model.facts import Range3
    from topo.model.power import PowerNight

HEAD, PLOT, LINE = 30.0, 150.0, 13.0
AXIS = 48.0
NAMES = 190.0
"""Room at the right for the names of the lines, pixels."""

MOST_PLUGS, MOST_FALLS_DRAWN = 3, 3
NAME_MOST_AT_NIGHT, LETTERS_PER_LINE = 20, 128
STROKES_AT_NIGHT = ("-", (0, (6, 2)), (0, (2, 2)))

PlugVolts = tuple["Range3 | None", ...]


def volts_high(night: PowerNight | None) -> float:
    """Pixels of the panel; 0 where nothing is known of the 12 V side."""
    return 0.0 if night is None or not _least(night) else HEAD + PLOT + AXIS + LINE * len(_words(night)) + 8.0


def draw_volts(figure: Any, night: PowerNight, top: float, high: float, colours: Colours) -> None:
    """The panel, and beneath it in words what falls out, and the caution."""
    box = MARGIN_LEFT, top + HEAD, STRIP_INNER - NAMES, PLOT
    axes = placed(figure, box, high)
    axes.set_title("Volts through the night, at the plugs with least to spare", loc="left", fontsize=10,
                   fontweight="bold", pad=8)
    hours = [at / 3600 for at in night.times_s] + [night.seconds / 3600]
    floors = dict(night.floors)
    shown = _least(night)
    for number, (_, series) in enumerate(shown):
        likely = [float("nan") if each is None else each.likely for each in series]
        axes.step(hours, [*likely, likely[-1]], color=colours.line, linewidth=1.6, where="post",
                  linestyle=STROKES_AT_NIGHT[number])
        if number == 0:
            low, high_ = band(series)
            axes.fill_between(hours, [*low, low[-1]], [*high_, high_[-1]], step="post", color=colours.bar, linewidth=0,
                              zorder=0)  # fmt: skip
    _floors(axes, shown, floors, hours[-1], colours)
    axes.set_xlim(0.0, hours[-1])
    axes.set_ylim(bottom=bottom([series for _, series in shown], floors.values()))
    _names(axes, shown, floors, colours)
    axes.set_ylabel("volts", fontsize=8)
    axes.set_xlabel("hours after dusk; likely, with low to high of the first", fontsize=8)
    for number, words in enumerate(_words(night)):
        at = top + HEAD + PLOT + AXIS + LINE * (number + 0.5)
        figure.text(MARGIN_LEFT / _width(figure), 1.0 - at / high, words, fontsize=8, va="center",
                    color=colours.quiet, parse_math=False)


def band(series: PlugVolts) -> tuple[list[float], list[float]]:
    """Low and high of a plug's volts from time to time; nothing where it is dark at the likely end."""
    ends = [(float("nan"),) * 2 if each is None else (each.low, each.high) for each in series]
    return [low for low, _ in ends], [high for _, high in ends]


def bottom(shown: Iterable[PlugVolts], floors: Iterable[float]) -> float:
    """The least volts to draw: what is dark at the low end leaves the picture there."""
    volts = [volts for series in shown for each in series if each is not None for volts in each if volts]
    return min((*volts, *floors), default=0.0) - 0.3


def _width(figure: Any) -> float:
    return float(figure.get_figwidth() * figure.dpi)


def _least(night: PowerNight) -> list[tuple[str, PlugVolts]]:
    """The plugs with least to spare, those that fall lowest first."""
    floors = dict(night.floors)
    known = [(name, series) for name, series in night.volts if any(each is not None for each in series)]

    def spare(series: PlugVolts, name: str) -> float:
        return min(each.likely for each in series if each is not None) - floors.get(name, 0.0)

    return sorted(known, key=lambda each: (spare(each[1], each[0]), each[0]))[:MOST_PLUGS]


def _floors(
    axes: Any, shown: list[tuple[str, PlugVolts]], floors: dict[str, float], dawn: float, colours: Colours
) -> None:
    """What each of them works from, once for each height."""
    for volts in dict.fromkeys(floors[name] for name, _ in shown if name in floors):
        axes.axhline(volts, color=colours.trouble, linewidth=1.0)
        axes.annotate(f"works from {volts:g} V", (dawn, volts), xytext=(-3, 3), textcoords="offset points",
                      fontsize=8, ha="right", color=colours.trouble)


def _names(axes: Any, shown: list[tuple[str, PlugVolts]], floors: dict[str, float], colours: Colours) -> None:
    """Each line's name and lowest volts at the right, one above the other as their ends stand, with its stroke."""
    for number, (name, series) in enumerate(shown):
        lowest = min(each.likely for each in series if each is not None)
        place = 0.88 - 0.32 * number
        axes.plot([1.02, 1.10], [place, place], transform=axes.transAxes, clip_on=False, color=colours.line,
                  linewidth=1.6, linestyle=STROKES_AT_NIGHT[number])
        words = plain(name, NAME_MOST_AT_NIGHT)
        least = f"lowest {lowest:.2f} V" + (f", works from {floors[name]:g}" if name in floors else "")
        axes.text(1.115, place, words, transform=axes.transAxes, fontsize=8, va="center", color=colours.ink,
                  parse_math=False)
        axes.text(1.02, place - 0.12, least, transform=axes.transAxes, fontsize=8, va="center", color=colours.quiet)


def _words(night: PowerNight) -> list[str]:
    """What falls out, and the caution, in lines."""
    falls = [f"{fall_words(each)}." for each in night.falls[:MOST_FALLS_DRAWN]]
    more = len(night.falls) - MOST_FALLS_DRAWN
    falls += [f"{more} more fall out."] if more > 0 else []
    return [line for words in (*falls, SHORT) for line in textwrap.wrap(words, LETTERS_PER_LINE)]
