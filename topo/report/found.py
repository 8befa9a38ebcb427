"""Findings as text: what is wrong, what to do, the figures now and once that is done, and what would refute it."""

from __future__ import annotations

import re
import shlex
from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.model.cautions import POWER_UNITS, SHORT
from topo.model.facts import BASES, Figure
from topo.model.figures import figure_words
from topo.model.plain import plain
from topo.report.page import MARK, Column, Page

if TYPE_CHECKING:
    from topo.model.finding import Finding, Fix
    from topo.report.compose import Report


BRIEF_FROM = 6
"""Reports with this many findings tell their notes briefly."""

BASIS_WORDS = {
    "measured": "measured",
    "declared": "your rig file",
    "profile": "profiles and published rates",
    "assumed": "assumed",
}
"""How each basis is told."""


def tell_findings(page: Page, report: Report) -> None:
    """Every finding in its order, numbered from 1."""
    brief = len(report.findings) >= BRIEF_FROM
    for number, finding in enumerate(report.findings, 1):
        page.blank()
        _tell(page, report, finding, number, brief and finding.severity == "note")


def _tell(page: Page, report: Report, finding: Finding, number: int, brief: bool) -> None:
    page.say(finding.message, f"{finding.severity.upper()} {number}", finding.severity)
    page.say(_what_it_is(report, finding))
    fix = finding.fix
    if fix is not None:
        page.say(advice(report, fix) + _outcome(finding), "  do")
    if brief:
        if changes := _changes(finding):
            page.say(changes, "  then")
    elif finding.figures:
        _figures(page, finding)
    if finding.refuted_by:
        page.say(_sentence(finding.refuted_by), "  wrong if")
    if finding.tested_by and not brief:
        page.say(_sentence(test_words(finding, report.file)), "  test")


def test_words(finding: Finding, file: str) -> str:
    """What tells whether a finding is true, with the rig file in the commands; empty for one that is certain."""
    return re.sub(r"\bRIG\b", lambda _: shlex.quote(plain(file)) if file else "RIG", finding.tested_by)


def speaks_of_power(report: Report) -> bool:
    """True where a figure of a finding is one of power, so that the cautions are printed at the end."""
    return any(figure.unit in POWER_UNITS for finding in report.findings for figure in finding.figures)


def advice(report: Report, fix: Fix) -> str:
    """What to do; where the cautions are printed at the end, that place instead of the short ones each time."""
    return fix.text.replace(SHORT, "See POWER, below.") if speaks_of_power(report) else fix.text


def _what_it_is(report: Report, finding: Finding) -> str:
    """Certainty, place, parts the message does not name, and where to read more."""
    place = finding.place
    pieces = ["Certain" if finding.certainty == "certain" else "Possible, not certain"]
    if place.line:
        pieces.append(f"line {place.line}" + (f" of {place.file}" if place.file not in ("", report.file) else ""))
    parts = [plain(name) for name in (finding.part, *finding.others) if name]
    if unnamed := [name for name in dict.fromkeys(parts) if name not in finding.message]:
        pieces.append(f"about {', '.join(unnamed)}")
    if finding.supplied_by:
        pieces.append(f"from plugin {plain(finding.supplied_by)}")
    return f"{'; '.join(pieces)}. Why: topo explain {finding.name}"


def _outcome(finding: Finding) -> str:
    """Whether the fix clears the finding, as computed."""
    fix = finding.fix
    return "" if fix is None or fix.plan is None else " Computed again, that clears it."


def _figures(page: Page, finding: Finding) -> None:
    after = {figure.name: figure for figure in finding.fix.after} if finding.fix else {}
    names = tuple(dict.fromkeys((*(figure.name for figure in finding.figures), *after)))
    now = {figure.name: figure for figure in finding.figures}
    columns = [Column("figures"), Column("now" if after else "", right=True)]
    rows = [[name, _cell(now.get(name))] for name in names]
    if after:
        columns.append(Column("once done", right=True))
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
        return f"{BASIS_WORDS[most]}."
    pieces = [f"{BASIS_WORDS[basis]}: {', '.join(under[basis])}" for basis in few]
    return f"{'; '.join(pieces)}; all else: {BASIS_WORDS[most]}."


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
