"""A comparison as lines of text: the verdict, every part with where the file has it and where it is, what else is
plugged in, and the findings. Same looks as the report.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from topo.compare.slow import could_mbit
from topo.compare.words import told_name, where
from topo.frozen import frozen
from topo.model.figures import mbit
from topo.model.plain import plain
from topo.report.found import tell_findings
from topo.report.page import Column, Page
from topo.report.tables import NAME_CELLS
from topo.report.text import report_lines, tell_cautions, tell_troubles
from topo.words.verdicts import NOT_ALL_CHECKED, by_severity

if TYPE_CHECKING:
    from topo.model.comparison import Comparison, Match
    from topo.model.finding import Finding
    from topo.model.plugged import Thing
    from topo.model.rig import Part
    from topo.report.compose import Report
    from topo.report.lines import Line


BETTER = {
    "slower-than-it-could-be": "fell-back",
    "adapters-look-alike": "told-apart-by-socket",
    "cameras-look-alike": "told-apart-by-socket",
    "port-current-exceeded": "claimed-current-exceeded",
    "not-wired": "part-missing",
}
"""Findings of the plan and those that tell the same as seen."""


@frozen(slots=False)
class ComparisonReport:
    """A comparison with its findings, ready to be told. The report's study is the one with measured facts."""

    comparison: Comparison
    report: Report


def without_doubles(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings less those of the plan that a measured one tells better: each pattern of a part is told once."""
    found = tuple(findings)
    told = {(f.name, name) for f in found for name in (f.part, *f.others)}
    return tuple(f for f in found if (BETTER.get(f.name, ""), f.part) not in told)


def comparison_lines(compared: ComparisonReport, width: int = 80, encoding: str = "utf-8") -> list[Line]:
    """The comparison as styled lines of at most `width` terminal cells that `encoding` can say."""
    page = Page(width, encoding)
    report = compared.report
    page.say(_verdict(compared), report.verdict.upper(), report.verdict, "strong")
    _tell_sources(page, compared)
    _tell_parts(page, compared.comparison)
    _tell_others(page, compared.comparison)
    tell_findings(page, report)
    _tell_problems(page, compared.comparison)
    tell_troubles(page, report)
    tell_cautions(page, report)
    return page.lines


def live_report_lines(
    compared: ComparisonReport, width: int = 80, encoding: str = "utf-8", whole: bool = False
) -> list[Line]:
    """The report with measured facts, with its tables if `whole`, followed by where every part is."""
    page = Page(width, encoding)
    _tell_scan(page, compared.comparison)
    _tell_parts(page, compared.comparison)
    _tell_others(page, compared.comparison)
    _tell_problems(page, compared.comparison)
    return [*report_lines(compared.report, width, encoding, whole), (), *page.lines]


def _verdict(compared: ComparisonReport) -> str:
    report = compared.report
    if report.verdict == "clear":
        return "Plugged in as the file has it." if not report.troubles else NOT_ALL_CHECKED
    words = {"fault": "Not as the file has it", "risk": "Plugged in, but something may go wrong",
             "note": "As the file has it, nearly"}
    return f"{words[report.verdict]}: {by_severity(report.findings)}"


def _tell_sources(page: Page, compared: ComparisonReport) -> None:
    report = compared.report
    page.say(f"{plain(report.rig)}, from {plain(report.file)}" if report.file else plain(report.rig), "rig")
    _tell_scan(page, compared.comparison)


def _tell_scan(page: Page, comparison: Comparison) -> None:
    scan = comparison.scan
    when = f" at {plain(scan.when_words, 40)}" if scan.when else ""
    page.say(f"{plain(scan.scanner, 40)}{when}, {plain(scan.system, 40)}", "scan")


def _tell_parts(page: Page, comparison: Comparison) -> None:
    rig = comparison.declared.rig
    rows = [_row(comparison, part) for part in rig.plugged]
    if not rows:
        return
    page.blank()
    found = len(comparison.matches)
    words = f"{found} of {found + len(comparison.missing)} parts found."
    if comparison.unseen:
        words += f" {len(comparison.unseen)} more cannot be seen over USB."
    page.say(words, "PARTS", "strong")
    page.table((Column("part", most=NAME_CELLS), Column("file has it in", most=NAME_CELLS), Column("it is in"),
                Column("speed", right=True)), rows)


def _row(comparison: Comparison, part: Part) -> list[str]:
    plug = "-" if part.plug is None else plain(str(part.plug))
    match = comparison.match(part.id)
    if match is None:
        return [plain(part.id), plug, "not found" if part.id in comparison.unseen else "MISSING", "-"]
    place = where(comparison, match.thing)
    return [plain(part.id), plug, f"MOVED: {place}" if match.moved else place, speed_words(comparison, match)]


def speed_words(comparison: Comparison, match: Match) -> str:
    """The speed of a part now, and what it could be where that is more."""
    now = match.speed_mbit
    best, _ = could_mbit(comparison, match.thing, match)
    if now is None:
        return "not told"
    return f"{mbit(now)} (could be {mbit(best)})" if best is not None and best > now else mbit(now)


def _tell_others(page: Page, comparison: Comparison) -> None:
    if not comparison.unexpected:
        return
    page.blank()
    page.say("Plugged in or built in, and not in the file.", "OTHERS", "strong")
    page.table((Column("kind"), Column("it says it is", most=NAME_CELLS), Column("it is in"),
                Column("speed", right=True)), [_other(comparison, thing) for thing in comparison.unexpected])


def _other(comparison: Comparison, thing: Thing) -> list[str]:
    place = where(comparison, thing) + (" (built in)" if thing.built_in else "")
    now = thing.speed_mbit
    return [thing.word, told_name(thing), place, "not told" if now is None else mbit(now)]


def _tell_problems(page: Page, comparison: Comparison) -> None:
    if comparison.scan.problems:
        page.blank()
        page.say("What the scan could not see, so that less may be here than is plugged in.", "UNSEEN", "strong")
        for text in comparison.scan.problems:
            page.hang(plain(text, 400), 4, "- ")
