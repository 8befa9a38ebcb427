"""The 12 V side and the 5 V of USB as tables: `topo power`, and what `topo check` says of volts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.model.cautions import CAUTIONS
from topo.model.facts import Range3
from topo.model.finding import Finding, in_order
from topo.model.plain import plain
from topo.model.rig import COMPUTER
from topo.report.lines import Line
from topo.report.page import MARK, Column, Page
from topo.words.lists import capital, listed, some_of

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.power import LeadPower, PlugPower, SourcePower, UsbPower

NAME_MOST = 20
MOST_NOT_JUDGED = 6
UNFED = "cannot"
WITHOUT_UNITS = ("fed-twice", "load-cannot-be-fed", "fuse-in-wrong-place", "battery-empty-before-dawn")
"""Findings of power whose figures have no unit of it."""


def power_lines(study: Study, findings: Sequence[Finding], width: int = 80, encoding: str = "utf-8") -> list[Line]:
    """Supplies, leads, plugs, USB plugs, batteries, what is wrong, what is not judged, and the cautions."""
    page = Page(width, encoding)
    page.say(f"{plain(study.rig.name)}, from {plain(study.rig.file)}", "rig")
    if not study.rig.has_power_side:
        page.say("The file has no `power:`, so nothing is known of the 12 V side.", "12 V", "strong")
    _sources(page, study.power.sources)
    _leads(page, study)
    _plugs(page, study)
    _usb(page, study.usb_power)
    _one_feed(page, study)
    _batteries(page, study)
    _findings(page, findings)
    _each_not_judged(page, study)
    page.blank()
    for index, text in enumerate(CAUTIONS):
        page.say(text, "CAUTIONS" if index == 0 else "", "strong")
    return page.lines


def of_power(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Those of findings that have a figure of power, whoever found them."""
    return tuple(each for each in findings if each.name in WITHOUT_UNITS or each.has_power_figure)


def _sources(page: Page, sources: Sequence[SourcePower]) -> None:
    if not sources:
        return
    page.blank()
    page.say("What each supply gives, and what is drawn: in normal work, and with all at their peak at once.",
             "SUPPLIES", "strong")
    page.table(
        (Column("supply", most=NAME_MOST), Column("volts", right=True), Column("A, work", right=True),
         Column("A, peak", right=True), Column("gives", right=True), Column("to spare", right=True)),
        [[_marked(each.id, each.basis == "assumed"), _volts(each.volts), _likely(each.amps.typical),
          _likely(each.amps.peak), "?" if each.may_give_a is None else f"{each.may_give_a:g} A", _spare(each)]
         for each in sources],
    )  # fmt: skip


def _spare(source: SourcePower) -> str:
    if source.may_give_a is None or source.amps.peak is None:
        return "-"
    return f"{source.may_give_a - source.amps.peak.likely:.1f} A"


def _leads(page: Page, study: Study) -> None:
    if not study.power.leads:
        return
    page.blank()
    page.say("What runs through each lead, what its wire takes, the fuse that guards it, and what it costs in volts.",
             "LEADS", "strong")
    page.table(
        (Column("lead", most=NAME_MOST), Column("to"), Column("A, work", right=True), Column("A, peak", right=True),
         Column("wire", right=True), Column("fuse", right=True), Column("costs", right=True)),
        [[_marked(each.id, each.figures == "assumed"), plain(each.to), _likely(each.amps.typical),
          _likely(each.amps.peak), "?" if each.limit_a is None else f"{each.limit_a:g} A", _fuse(each), _cost(each)]
         for each in study.power.leads],
    )  # fmt: skip


def _fuse(lead: LeadPower) -> str:
    if lead.fuse_a is None:
        return "none"
    return f"{lead.fuse_a:g} A"


def _cost(lead: LeadPower) -> str:
    if not lead.steps:
        return "?"
    before, after = lead.volts_from.peak, lead.volts_to.peak
    return UNFED if before is None or after is None else f"{before.likely - after.likely:.2f} V"


def _plugs(page: Page, study: Study) -> None:
    if not study.power.plugs:
        return
    page.blank()
    page.say("Volts at each plug: likely in normal work; at the peak of all at once low, likely and high; and how much "
             "is to spare at the low end.", "PLUGS", "strong")
    page.table(
        (Column("plug", most=NAME_MOST), Column("A, peak", right=True), Column("V, work", right=True),
         Column("low", right=True), Column("peak", right=True), Column("high", right=True),
         Column("works at", right=True), Column("to spare", right=True)),
        [_plug_row(each) for each in study.power.plugs],
    )  # fmt: skip


def _plug_row(plug: PlugPower) -> list[str]:
    peak = plug.volts.peak
    ends = [UNFED] * 3 if peak is None else [f"{volts:.2f}" if volts else UNFED for volts in peak]
    work = UNFED if plug.volts.typical is None else f"{plug.volts.typical.likely:.2f}"
    drawn = "-" if plug.amps.peak is None else f"{plug.amps.peak.likely:.1f} A"
    return [_marked(plug.part, plug.drawn == "assumed" or plug.basis == "assumed"), drawn, work, *ends, window(plug),
            _margin(plug)]  # fmt: skip


def window(plug: PlugPower) -> str:
    """The volts a part works at: `11–14 V`, `11 V up`, `up to 14 V`; `?` where nobody says."""
    if plug.floor is None and plug.ceiling is None:
        return "?"
    if plug.floor is None:
        return f"up to {plug.ceiling:g}"
    return f"{plug.floor:g} up" if plug.ceiling is None else f"{plug.floor:g}–{plug.ceiling:g}"


def _margin(plug: PlugPower) -> str:
    """The smaller of what is left above the floor at the low end, and below the ceiling at rest."""
    low = 0.0 if plug.volts.peak is None else plug.volts.peak.low
    if plug.floor is not None and not low:
        return "none"
    left = [] if plug.floor is None else [low - plug.floor]
    left += [] if plug.ceiling is None else [plug.ceiling - plug.at_rest.high]
    return f"{min(left):.2f} V" if left else "?"


def _one_feed(page: Page, study: Study) -> None:
    """The leads that computer, mount and imaging camera all hang on, the nearest to the supply first."""
    from topo.power.tree import fed_by

    needed = [{COMPUTER}, *({part.id for part in study.of_role(role)} for role in ("mount", "imaging"))]
    ends = {lead.id: lead.ends for lead in study.rig.leads}
    leads = [each for each in study.power.leads if not each.beside]
    carries = {each.id: {*ends[each.id], *(name for end in ends[each.id] for name in fed_by(study.rig, end))}
               for each in leads}  # fmt: skip
    sole = [each.id for each in leads if all(names & carries[each.id] for names in needed)]
    if sole:
        page.blank()
        which = "it" if len(sole) == 1 else "one of them"
        page.say(f"Computer, mount and imaging camera are all fed by {listed(sole)}: if {which} or its fuse opens, the "
                 "night ends. `topo planb` says what then.", "ONE FEED", "strong")


def _usb(page: Page, plugs: Sequence[UsbPower]) -> None:
    if not plugs:
        return
    page.blank()
    page.say("5 V of USB: what is drawn from each socket with all behind it, what it may give, and the volts at the "
             "far end of the cable: low, likely, high.", "USB", "strong")
    page.table(
        (Column("part", most=NAME_MOST), Column("drawn", right=True), Column("may give", right=True),
         Column("low", right=True), Column("likely", right=True), Column("high", right=True),
         Column("needs", right=True)),
        [[plain(each.part), "?" if each.drawn_ma is None else f"{each.drawn_ma:g} mA",
          _marked(f"{each.may_give_ma:g} mA", each.may_give_basis == "assumed"),
          *(["?"] * 3 if each.volts is None else [f"{volts:.2f}" for volts in each.volts]), f"{each.floor:.2f} V"]
         for each in plugs],
    )  # fmt: skip
    for hub in dict.fromkeys(each.fed_12v for each in plugs if each.fed_12v is not None):
        behind = [each.part for each in plugs if each.fed_12v == hub]
        page.hang(f"{plain(hub)} has its 5 V from the 12 V side: when that sags, {some_of(behind, MOST_NOT_JUDGED)} "
                  "drop out with it.", 4, "- ")  # fmt: skip


def _batteries(page: Page, study: Study) -> None:
    if not any(supply.is_battery for supply in study.rig.supplies):
        return
    from topo.report.power_night import battery_words

    for index, night in enumerate(study.power_night.batteries):
        if index == 0:
            page.blank()
        page.say(battery_words(night), "NIGHT" if index == 0 else "", "strong")


def _findings(page: Page, findings: Sequence[Finding]) -> None:
    ordered = in_order(findings)
    for number, finding in enumerate(ordered, 1):
        if number == 1:
            page.blank()
        page.say(f"{finding.message} ({finding.certainty}; {finding.name})", f"{finding.severity.upper()} {number}",
                 finding.severity)  # fmt: skip
    if ordered:
        page.say("What to do about each, as computed: `topo check`.")
    else:
        page.blank()
        page.say("Nothing found in what can be judged.", "CLEAR", "clear")


def _each_not_judged(page: Page, study: Study) -> None:
    rows = [(each.what, each.name, ", ".join(each.missing)) for each in study.power.not_judged]
    rows += [("usb", each.part, ", ".join(each.missing)) for each in study.usb_power if each.missing]
    if not rows:
        return
    page.blank()
    page.say("Not judged, or not all of it, since these facts are missing:", "NOT JUDGED", "strong")
    for what, name, missing in rows:
        page.hang(f"{'USB plug' if what == 'usb' else what} {plain(name)}: {plain(missing, 300)}", 4, "- ")


def tell_power(page: Page, study: Study, whole: bool = True) -> None:
    """For `topo check`: volts at the plugs of the 12 V side where `whole`, and in a sentence what is not judged."""
    plugs = [each for each in study.power.plugs if each.volts.peak is not None]
    if plugs and whole:
        page.blank()
        page.say("Volts at each 12 V plug, likely: in normal work, and with all at their peak.", "VOLTS", "strong")
        page.table(
            (Column("plug", most=NAME_MOST), Column("in work", right=True), Column("at the peak", right=True),
             Column("works at", right=True)),
            [[_marked(each.part, "assumed" in (each.drawn, each.basis)), _volts_at(each.volts.typical),
              _volts_at(each.volts.peak), f"{window(each)} V"] for each in plugs],
        )  # fmt: skip
    said = not_judged_words(study)
    if said:
        page.blank()
        page.say(f"{said} `topo power` lists each.", "NOT JUDGED", "strong")


def not_judged_words(study: Study) -> str:
    """What of the power side could not be judged, in a sentence; empty where all was."""
    dim = study.power.not_judged
    said = []
    if not study.rig.has_power_side:
        said.append("the 12 V side, which the file leaves out")
    elif dim:
        said.append(f"some of the 12 V side ({some_of([plain(each.name) for each in dim], MOST_NOT_JUDGED)})")
    plugs = [each for each in study.usb_power if each.missing]
    if plugs:
        facts = dict.fromkeys(word.split(" of ")[0] for each in plugs for word in each.missing
                              if not word.startswith("volts"))  # fmt: skip
        said.append(f"the 5 V at {len(plugs)} of {len(study.usb_power)} USB plugs ({', '.join(facts)} not known)")
    words = "; ".join(said)
    return f"{capital(words)}." if said else ""


def _volts_at(volts: Range3 | None) -> str:
    return UNFED if volts is None else f"{volts.likely:.2f} V"


def _volts(volts: Range3) -> str:
    if volts.low == volts.high:
        return f"{volts.likely:.2f} V"
    return f"{volts.likely:.2f} V ({volts.low:.1f}–{volts.high:.1f})"


def _likely(amps: Range3 | None) -> str:
    return UNFED if amps is None else f"{amps.likely:.1f} A"


def _marked(name: str, assumed: bool) -> str:
    return f"{plain(name)} {MARK}" if assumed else plain(name)
