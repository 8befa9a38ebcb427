"""Findings as text: what is wrong, what to do, the figures now and once that is done, and what would refute it."""

from __future__ import annotations

import re
import shlex
from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.model.cautions import SHORT
from topo.model.facts import BASES, Figure
from topo.model.figures import figure_words
from topo.model.plain import plain
from topo.report.families import alike_words, each_alone, families
from topo.report.page import MARK, Column, Page
from topo.wiring.instructions import as_computed
from topo.words.glossary import BASIS, CERTAINTY, DO, DO_FIRST, NOW, ONCE_DONE, WRONG_IF
from topo.words.lists import some_of

if TYPE_CHECKING:
    from topo.model.finding import Finding, Fix
    from topo.report.compose import Report
    from topo.report.families import Family


BRIEF_FROM = 6
"""Reports with this many findings tell their notes briefly."""

MOST_ABOUT = 6
"""Parts named that a message leaves out; the rest are counted."""

SEE_FIRST = f"See {DO_FIRST.upper()}."


def tell_findings(page: Page, report: Report, whole: bool = True) -> None:
    """Every finding in its order, numbered from 1. Unless `whole`, those that are alike once, and notes briefly."""
    brief = len(report.findings) >= BRIEF_FROM
    for family in each_alone(report.findings) if whole else families(report.findings):
        page.blank()
        _tell(page, report, family, brief and family.finding.severity == "note", whole)


def _tell(page: Page, report: Report, family: Family, brief: bool, whole: bool) -> None:
    finding = family.finding
    page.say(finding.message, f"{finding.severity.upper()} {family.number}", finding.severity)
    if finding.fix is not None:
        page.say(_advice(report, finding, finding.fix), f"  {DO}")
    if not brief and finding.figures:
        _figures(page, finding)
    elif brief and whole and (changes := _changes(finding)):
        page.say(changes, "  then")
    if finding.refuted_by and (whole or not brief):
        page.say(_sentence(finding.refuted_by), f"  {WRONG_IF}")
    if finding.tested_by and (whole or not brief):
        page.say(_sentence(test_words(finding, report.file)), "  test")
    page.say(_what_it_is(report, finding), "  more")
    if family.alike:
        page.say(alike_words(family), "  also")


def test_words(finding: Finding, file: str) -> str:
    """What tells whether a finding is true, with the rig file in the commands; empty for one that is certain."""
    return re.sub(r"\bRIG\b", lambda _: shlex.quote(plain(file)) if file else "RIG", finding.tested_by)


def speaks_of_power(report: Report) -> bool:
    """True where a figure of a finding is one of power, so that the cautions are printed at the end."""
    return any(finding.has_power_figure for finding in report.findings)


def advice(report: Report, fix: Fix) -> str:
    """What to do; where the cautions are printed at the end, that place instead of the short ones each time."""
    return fix.text.replace(SHORT, "See POWER, below.") if speaks_of_power(report) else fix.text


def first_worded(report: Report) -> Finding | None:
    """The finding whose own words stand under DO FIRST, where nothing computed helps: the worst that has any."""
    if report.first is not None:
        return None
    return next((found for found in report.findings if found.severity != "note" and found.fix is not None), None)


def _advice(report: Report, finding: Finding, fix: Fix) -> str:
    """The same, told once: what stands under DO FIRST already is not said again."""
    if fix.plan is None:
        said = first_worded(report)
        return SEE_FIRST if said is not None and fix is said.fix else advice(report, fix)
    same = report.first is not None and fix.plan.proposal == report.first.proposal
    return f"{SEE_FIRST if same else advice(report, fix)} {as_computed(fix.plan, finding)}"


def _what_it_is(report: Report, finding: Finding) -> str:
    """Certainty, place, parts the message does not name, and where to read more."""
    place = finding.place
    pieces = [CERTAINTY[finding.certainty]]
    if place.line:
        pieces.append(f"line {place.line}" + (f" of {place.file}" if place.file not in ("", report.file) else ""))
    parts = [plain(name) for name in (finding.part, *finding.others) if name]
    if unnamed := [name for name in dict.fromkeys(parts) if name not in finding.message]:
        pieces.append(f"about {some_of(unnamed, MOST_ABOUT)}")
    if finding.supplied_by:
        pieces.append(f"from plugin {plain(finding.supplied_by)}")
    return f"{'; '.join(pieces)}. `topo explain {finding.name}`"


def _figures(page: Page, finding: Finding) -> None:
    after = {figure.name: figure for figure in finding.fix.after} if finding.fix else {}
    names = tuple(dict.fromkeys((*(figure.name for figure in finding.figures), *after)))
    now = {figure.name: figure for figure in finding.figures}
    columns = [Column("figures"), Column(NOW if after else "", right=True)]
    rows = [[name, _cell(now.get(name))] for name in names]
    if after:
        columns.append(Column(ONCE_DONE, right=True))
        rows = [[*row, _cell(after.get(name))] for row, name in zip(rows, names, strict=True)]
    page.table(columns, rows, indent=2)
    page.say(_basis((*finding.figures, *after.values())), "  basis")


def _cell(figure: Figure | None) -> str:
    if figure is None:
        return "-"
    return figure_words(figure) + (f" {MARK}" if figure.basis == "assumed" else "")


def _basis(figures: Sequence[Figure]) -> str:
    """Where the figures come from: the basis of most, after the names under each other basis."""
    under = {basis: tuple(dict.fromkeys(f.name for f in figures if f.basis == basis)) for basis in BASES}
    known = [basis for basis in BASES if under[basis]]
    *few, most = sorted(known, key=lambda basis: (len(under[basis]), basis != "assumed"))
    if not few:
        return f"{BASIS[most]}."
    pieces = [f"{BASIS[basis]}: {', '.join(under[basis])}" for basis in few]
    return f"{'; '.join(pieces)}; all else: {BASIS[most]}."


def _changes(finding: Finding) -> str:
    """The figures that the fix changes, in a row of words."""
    if finding.fix is None:
        return ""
    now = {figure.name: figure_words(figure) for figure in finding.figures}
    pieces = [
        f"{figure.name} {now[figure.name]} becomes {figure_words(figure)}" for figure in finding.fix.after
        if figure.name in now and now[figure.name] != figure_words(figure)
    ]
    return "; ".join(pieces)


def _sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."
