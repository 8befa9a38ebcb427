"""The meter sheet of `topo power --sheet`: what to measure where, in which order, the figures to expect, a line for
each reading, and the key of the rig file that each reading goes back into."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from topo.model.cautions import CAUTIONS
from topo.model.facts import Range3
from topo.model.plain import plain
from topo.report.lines import Line
from topo.report.page import Column, Page

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.power import LeadPower, PlugPower

SHEET_NAME_MOST = 18
BLANK = "________"
NOT_KNOWN = "?"


def sheet_lines(study: Study, width: int = 80, encoding: str = "utf-8") -> list[Line]:
    """The cautions, then supplies and plugs with nothing drawn, then everything under load, then USB."""
    page = Page(width, encoding)
    page.say(f"{plain(study.rig.name)}, from {plain(study.rig.file)}", "rig")
    for index, text in enumerate(CAUTIONS):
        page.say(text, "CAUTIONS" if index == 0 else "", "strong")
    page.blank()
    page.say("Work down the page. A reading outside its range is a fault, or a wrong figure in the rig file: find out "
             "which before you go on.", "SHEET", "strong")  # fmt: skip
    power, converters = study.power, {each.id for each in study.rig.converters}
    if not power.sources:
        page.say("The rig file has no supply under `power:`, so there is nothing to expect on the 12 V side.")
    _part(page, "SUPPLIES", "Nothing plugged in: volts at the terminals. Write `volts:` of the supply, and `volts_by: "
          "meter`.", ("supply", "expect", "reading, V"),
          [[plain(each.id), span(each.volts, 2), BLANK] for each in power.sources])  # fmt: skip
    _part(page, "EMPTY", "Leads on, no part plugged in: polarity first, then volts. Above `at most` the part must "
          "not be plugged in.", ("plug of", "expect", "at most", "polarity, reading, V"),
          [[plain(each.part), span(each.at_rest, 2), _volts_or(each.ceiling), f"____ {BLANK}"] for each in power.plugs]
          )  # fmt: skip
    _part(page, "UNDER LOAD", "All at work: volts at the plug of each part; then again with the cooler at full power, "
          "heaters on and the mount slewing.",
          ("plug of", "at work", "at the peak", "works from", "readings, V"), [_loaded(each) for each in power.plugs])
    _part(page, "AMPS", "Through the lead of each part, by clamp meter or in line. Write `amps_typical:` and "
          "`amps_peak:` of the part, and `amps_at_volts:` with the volts it had.",
          ("part", "at work", "at the peak", "readings, A"),
          [[plain(each.part), span(each.amps.typical, 2), span(each.amps.peak, 2), f"{BLANK} {BLANK}"]
           for each in power.plugs if each.part not in converters])  # fmt: skip
    _part(page, "LEADS", "At work, from one end to the other, both poles together. One that costs more has a bad "
          "contact: take the ohms of its wire and fuse from (volts lost ÷ amps), and write as `contact_milliohm:` of "
          "the lead what is left, times the last figure.",
          ("lead", "to", "costs, V", "reading, V", "wire and fuse, ohm", "times"),
          [_of_lead(each) for each in power.leads if each.steps])  # fmt: skip
    _part(page, "USB", "At work, with a USB meter between cable and part.", ("part", "expect", "needs", "reading, V"),
          [[plain(each.part), span(each.volts, 2), f"{each.floor:.2f}", BLANK]
           for each in study.usb_power])  # fmt: skip
    page.blank()
    page.say("Write the readings into the rig file and run `topo power` again: what was measured is no guess any more.",
             "THEN", "strong")  # fmt: skip
    return page.lines


def _part(page: Page, word: str, text: str, heads: Sequence[str], rows: Iterable[list[str]]) -> None:
    """One step of the sheet; left out where there is nothing to measure."""
    made = list(rows)
    if not made:
        return
    page.blank()
    page.say(text, word, "strong")
    first, *others = heads
    names = (Column(first, most=SHEET_NAME_MOST), *(
        Column(head, most=SHEET_NAME_MOST) if head == "to" else Column(head, right=True) for head in others
    ))  # fmt: skip
    page.table(names, made)


def span(value: Range3 | None, decimals: int) -> str:
    """`12.41–12.87`, one figure where both ends read the same, `?` where it is not known or cannot be fed."""
    if value is None:
        return NOT_KNOWN
    low, high = f"{value.low:.{decimals}f}", f"{value.high:.{decimals}f}"
    return low if low == high else f"{low}–{high}"


def _volts_or(volts: float | None) -> str:
    return NOT_KNOWN if volts is None else f"{volts:g}"


def _loaded(plug: PlugPower) -> list[str]:
    return [plain(plug.part), span(plug.volts.typical, 2), span(plug.volts.peak, 2), _volts_or(plug.floor),
            f"{BLANK} {BLANK}"]  # fmt: skip


def _of_lead(lead: LeadPower) -> list[str]:
    """Its last two figures: ohms of all but its contacts, and what turns ohms into milliohms of one contact of them."""
    contacts = 2 * sum(step.kind == "contact" for step in lead.steps)
    rest = math.fsum(step.ohm.likely for step in lead.steps if step.kind != "contact")
    times = f"{1000 / contacts:g}" if contacts else NOT_KNOWN
    return [plain(lead.id), plain(lead.to), span(_cost(lead), 3), BLANK, f"{rest:.4f}", times]


def _cost(lead: LeadPower) -> Range3 | None:
    """Volts that a lead costs in normal work, at its own ohms and amps."""
    amps = lead.amps.typical
    if amps is None:
        return None
    return Range3(*(
        each * math.fsum(list(step.ohm)[end] for step in lead.steps) for end, each in enumerate(amps)
    ))  # fmt: skip
