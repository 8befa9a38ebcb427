"""Volts through the night in words: the lowest at each plug and when, and how batteries get through it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.model.cautions import SHORT
from topo.model.plain import plain
from topo.report.page import Column, Page
from topo.words.falls import fall_words, in_turn

if TYPE_CHECKING:
    from topo.model.facts import Range3
    from topo.model.power import BatteryNight, FallOut, PowerNight

NAME_CELLS_AT_NIGHT = 24
MOST_FALLS = 6


def tell_power_night(page: Page, night: PowerNight | None) -> None:
    """For `topo night`: nothing without a 12 V side."""
    if night is None or not night.volts:
        return
    page.blank()
    page.say("The lowest volts at each plug, and when: coolers at dusk, slews and focus runs counted.", "VOLTS",
             "strong")
    page.table(
        (Column("plug", most=NAME_CELLS_AT_NIGHT), Column("lowest", right=True), Column("low to high", right=True),
         Column("hours in", right=True)),
        [_row(name, series, night.times_s) for name, series in night.volts],
    )  # fmt: skip
    tell_falls(page, [each for each in night.falls if not each.battery_low])
    for battery in night.batteries:
        page.say(battery_words(battery))
    page.say(SHORT)


def tell_falls(page: Page, falls: Sequence[FallOut]) -> None:
    """A line for each part that falls below its lowest volts, and what goes with it."""
    for fall in falls[:MOST_FALLS]:
        page.hang(f"{fall_words(fall)}.", 4, "- ")
    if len(falls) > MOST_FALLS:
        page.hang(f"{len(falls) - MOST_FALLS} more fall out.", 4, "- ")


def _row(name: str, series: tuple[Range3 | None, ...], times_s: tuple[float, ...]) -> list[str]:
    known = [(each.likely, -index, each) for index, each in enumerate(series) if each is not None]
    gone = next((index for index, each in enumerate(series) if each is None), None)
    if not known or gone is not None:
        at = times_s[gone or 0] / 3600
        return [plain(name), "goes dark", "-", f"{at:.1f}"]
    _, index, lowest = min(known, key=lambda each: each[:2])
    least = min(each.low for _, _, each in known)
    return [plain(name), f"{lowest.likely:.2f} V", f"{f'{least:.2f}' if least else 'dark'}–{lowest.high:.2f} V",
            f"{times_s[-index] / 3600:.1f}"]  # fmt: skip


def battery_words(night: BatteryNight) -> str:
    """How a battery gets through a night, in two or three sentences."""
    from topo.power.night_run import FURTHER  # not on the way of a check without batteries

    low, likely, high = night.lasts_h
    most = FURTHER * night.night_h - 1e-6  # it is followed no further
    span = f"{likely:.1f} h ({low:.1f} to {high:.1f}{' and more' if high >= most else ''})"
    span = f"more than {low:.0f} h" if low >= most else span
    said = f"{plain(night.supply)} gives what it may for {span}; the night has "
    said += f"{night.night_h:g} h, and {100 * night.left_at_dawn.likely:.0f} % of its charge is left at dawn. "
    said += f"{in_turn(night.falls)}. " if night.falls else ""
    return said + "An estimate: a battery's age is never known well."
