"""The report as lines of text: the verdict, what to do first, findings, guiding, cameras, links, devices, assumptions.

Made for a dark night and a red filter: words say everything, styles only help; no colour, no pictures, no frames.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from topo.model.cautions import CAUTIONS
from topo.model.plain import plain
from topo.report.found import advice, first_worded, speaks_of_power, tell_findings
from topo.report.lines import Line, text_of
from topo.report.page import MARK, Page
from topo.report.power import not_judged_words, tell_power
from topo.report.tables import (
    tell_cameras,
    tell_cameras_briefly,
    tell_devices,
    tell_guiding,
    tell_guiding_briefly,
    tell_links,
)
from topo.wiring.instructions import in_one_line, outcome_of
from topo.words.glossary import DO_FIRST, GUESSES
from topo.words.lists import capital
from topo.words.verdicts import by_severity, verdict_words

if TYPE_CHECKING:
    from topo.model.finding import Finding, Plan, Severity
    from topo.report.compose import Report


def report_lines(
    report: Report, width: int = 80, encoding: str = "utf-8", whole: bool = False
) -> list[Line]:
    """The report as styled lines of at most `width` terminal cells (40 at least) that `encoding` can say.

    `whole` tells each finding by itself and adds the tables; else findings that are alike are told once, and guiding
    and cameras in a line each.
    """
    page = Page(width, encoding)
    page.say(verdict_words(report.findings, not report.troubles), report.verdict.upper(), report.verdict, "strong")
    page.say(f"{plain(report.rig)}, from {plain(report.file)}" if report.file else plain(report.rig), "rig")
    _tell_first(page, report)
    tell_findings(page, report, whole)
    if whole:
        tell_guiding(page, report)
        tell_cameras(page, report)
        tell_links(page, report)
        tell_devices(page, report)
    else:
        tell_guiding_briefly(page, report)
        tell_cameras_briefly(page, report)
    tell_power(page, report.study, whole)
    _tell_guesses(page, report, whole)
    tell_troubles(page, report)
    tell_cautions(page, report)
    if not whole:
        page.blank()
        page.say(f"{_MORE} `topo check {plain(report.file)} --all`" if report.file else _MORE, "MORE", "strong")
    return page.lines


_MORE = "Tables of guiding, cameras, links, devices and volts, each finding by itself, each guess:"


def _tell_first(page: Page, report: Report) -> None:
    """The one thing to do first: the fix of the worst finding that has one, and all it clears."""
    page.blank()
    what, *more = first_words(report)
    page.say(what, DO_FIRST.upper(), "strong", "strong" if more else "")
    for words in more:
        page.say(words)


def first_words(report: Report) -> tuple[str, ...]:
    """What to do first, and what it comes to; one sentence alone where nothing is to be done; last what was left to
    another command. A page says the same."""
    return *_first_of_all(report), *_left_to_others(report)


def _first_of_all(report: Report) -> tuple[str, ...]:
    if report.first is not None:
        return in_one_line(report.first.proposal), _comes_to(report.first, report.findings)
    worded = first_worded(report)
    if worded is not None and worded.fix is not None:
        return advice(report, worded.fix), f"For finding {report.findings.index(worded) + 1}, below."
    return (_nothing_to_do(report),)


def _left_to_others(report: Report) -> Iterator[str]:
    """That not all was tried, so that nobody takes silence for no way at all."""
    count = sum(finding.fix is not None and finding.fix.untried for finding in report.findings)
    if count:
        of = "one finding" if count == 1 else f"{count} findings"
        file = f" {plain(report.file)}" if report.file else ""
        yield f"On a rig of this size not every way against {of} below was tried: `topo rewire{file}` tries more."


def _nothing_to_do(report: Report) -> str:
    """Why there is nothing to do first: only where all was looked at and no fault or risk is left is nothing needed."""
    if report.verdict in ("fault", "risk"):
        return "No cure is known for finding 1, below: read it before tonight."
    if report.troubles:
        return "Nothing was found to do, but not all was checked: see UNCHECKED, below."
    left = ", as far as could be judged: see NOT JUDGED, below" if not_judged_words(report.study) else ""
    notes = " The notes can wait for daylight." if report.findings else ""
    return f"Nothing has to be done tonight{left}.{notes}"


def _comes_to(plan: Plan, findings: Sequence[Finding]) -> str:
    """What was computed with a plan done: findings gone, what is left, what it brings, its price."""
    cleared = {(found.name, found.part) for found in plan.clears}
    fates: dict[Severity | None, list[int]] = {None: [], "risk": [], "note": []}
    for number, found in enumerate(findings, 1):
        if (found.name, found.part) in cleared or plan.left_as(found) is not None:
            fates[plan.left_as(found)].append(number)
    words = [f"{_numbered(some)} {_become(left, len(some))}" for left, some in fates.items() if some]
    said = f"Computed again with that done, {' and '.join(words)}."
    left = by_severity(plan.leaves)
    return said + (f" Left: {left}" if left else " No fault and no risk is left.") + outcome_of(plan)


def _become(left: Severity | None, count: int) -> str:
    what = "gone" if left is None else f"left as {left}s" if count > 1 else f"left as a {left}"
    return f"{'is' if count == 1 else 'are'} {what}"


def _numbered(numbers: Sequence[int]) -> str:
    if len(numbers) == 1:
        return f"finding {numbers[0]}"
    *first, last = map(str, numbers)
    return f"findings {', '.join(first)} and {last}"


def _tell_guesses(page: Page, report: Report, whole: bool) -> None:
    marked = any(f" {MARK}" in text_of(line) for line in page.lines)
    if not report.assumptions and not marked:
        return
    page.blank()
    which = f"Figures marked {MARK} {GUESSES}" if marked else f"Some figures {GUESSES}"
    page.say(f"{which}. Write into the rig file what you know of it.", "GUESSES", "strong")
    if not whole:
        return
    for text in report.assumptions:
        page.hang(capital(text), 4, "- ")


def tell_troubles(page: Page, report: Report) -> None:
    if report.troubles:
        page.blank()
        page.say("These plugins or checks failed, so what they look for was not looked for.", "UNCHECKED", "strong")
        for text in report.troubles:
            page.hang(text, 4, "- ")


def tell_cautions(page: Page, report: Report) -> None:
    """The cautions, wherever the report spoke of power."""
    if speaks_of_power(report):
        page.blank()
        for index, text in enumerate(CAUTIONS):
            page.say(text, "POWER" if index == 0 else "", "strong")
