"""What captures measured, as lines of text: figures beside those of the plan, and how long requests waited."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.model.facts import Range3
from topo.model.figures import amount
from topo.model.plain import plain
from topo.report.page import Column, Page

if TYPE_CHECKING:
    from topo.model.answers import Answers, RequestWaits

MOST_WAITS_TOLD = 12


def tell_measured(page: Page, answers: Answers) -> None:
    """Figures beside what was planned, and how long requests waited."""
    _known(page, answers)
    _waits(page, answers)


def _known(page: Page, answers: Answers) -> None:
    if not answers.known:
        return
    page.blank()
    page.say("What captures measured, beside what was planned.", "MEASURED", "strong")
    rows = [[plain(each.part or f"device {each.device}"), each.what, value_words(each.value, each.unit),
             value_words(each.planned, each.unit) if each.planned else "-"] for each in answers.known]
    page.table((Column("part", most=20), Column("what"), Column("measured", right=True),
                Column("planned", right=True)), rows)


def _waits(page: Page, answers: Answers) -> None:
    if not answers.waits:
        return
    page.blank()
    page.say("From asking to the answer, as captures show it. That is waiting, not transfer: a camera's read waits "
             "out the exposure too.", "WAITS", "strong")
    rows = [[plain(each.part or f"device {each.device}"), _endpoint(each), str(each.requests),
             amount(each.low_s, "s"), amount(each.median_s, "s"), amount(each.high_s, "s")]
            for each in answers.waits[:MOST_WAITS_TOLD]]
    page.table((Column("part", most=20), Column("requests"), Column("how many", right=True),
                Column("5 of 100", right=True), Column("half", right=True), Column("95 of 100", right=True)), rows)
    if len(answers.waits) > MOST_WAITS_TOLD:
        page.hang(f"and {len(answers.waits) - MOST_WAITS_TOLD} more; --json tells all", 4, "- ")


def _endpoint(each: RequestWaits) -> str:
    way = "control" if each.kind == "control" else "reads" if each.endpoint & 128 else "writes"
    return f"{way}, endpoint {each.endpoint & 127}"


def value_words(value: tuple[float, float, float], unit: str) -> str:
    """Low, likely and high of a figure as a person reads it."""
    if unit == "byte":
        return amount(Range3(*(end / 1e6 for end in value)), "MB")
    return amount(Range3(*value), unit)
