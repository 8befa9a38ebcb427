"""What `topo report` tells beside the findings: plans to choose among, each with its pictures, and plan B."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from topo.analysis.study import Study
    from topo.draw.choices import PlanPanel
    from topo.draw.shapes import Sheet
    from topo.model.finding import Plan
    from topo.night.moment import CloseUp
    from topo.report.compose import Report

SEARCHED_DEVICES = 24
"""Rigs of more devices are not searched for further plans: the page is to be there in a second or two."""

Planned = tuple["Plan", "Study"]
"""A plan, and the rig with it done."""


def searched(report: Report) -> tuple[tuple[Planned, ...], str]:
    """What can be done as far as a page looks, best first; and in a sentence how far that is."""
    from topo.pipeline import advised_study, examiner
    from topo.place.frontier import frontier

    if not report.findings:
        return (), ""
    if len(report.study.rig.devices) > SEARCHED_DEVICES:
        after = advised_study(report)
        said = "So large a rig is searched for further plans by `topo rewire`."
        return () if report.first is None or after is None else ((report.first, after),), said
    found = frontier(report.study, report.findings, examiner(), most_moves=2, judge=report.judge, briefly=True)
    each = ", each by itself" if found.is_brief else ""
    said = f"Searched: up to two plugs, settings, one part bought{each}; `topo rewire` looks further."
    return tuple((each.plan, each.study) for each in found.plans), said


def strip_and_choices(report: Report, plans: Sequence[Planned]) -> tuple[Sheet | None, tuple[PlanPanel, ...]]:
    """One exposure's end as it is, and the plans, with theirs on the same scale."""
    from topo.draw.choices import MOST_CHOICES
    from topo.draw.strip import scale_of, strip
    from topo.draw.strips import HERE
    from topo.model.plain import plain

    plans = plans[:MOST_CHOICES]
    here = report.study.worst_close_up
    then = [None if here is None else after.close_up(here.guide, here.camera) for _, after in plans]
    shown: Sheet | None = None
    strips: list[Sheet | None] = [None for _ in plans]
    if here is not None:
        scale = scale_of(here, *(each for each in then if each is not None))
        shown = strip(here, f"{HERE}: {plain(here.guide)} while {plain(here.camera)} downloads", scale)
        strips = [None if each is None or each == here else strip(each, _with(number, each), scale)
                  for number, each in enumerate(then, 1)]
    return shown, tuple(
        _choice(report, plan, after, sheet, here is not None and each == here)
        for (plan, after), sheet, each in zip(plans, strips, then, strict=True)
    )


def _with(number: int, shown: CloseUp) -> str:
    from topo.model.plain import plain

    return f"The same with plan {number} done: {plain(shown.guide)} while {plain(shown.camera)} downloads"


def _choice(report: Report, plan: Plan, after: Study, strip: Sheet | None, guided_as_now: bool) -> PlanPanel:
    from topo.draw.before_after import before_after
    from topo.draw.choices import PlanPanel
    from topo.draw.page import SLIM, WIDE
    from topo.model.plain import plain
    from topo.place.consequence import in_words
    from topo.wiring.instructions import instructions, milder_words

    left = tuple(each for each in plan.leaves if each not in plan.brings)
    told = [("Check", f"The cable may be short: {plain('; '.join(plan.proposal.to_try), 600)}.")]
    told = told if plan.proposal.to_try else []
    told += [(word, f"{words}.") for word, words in (
        ("Clears", in_words(plan.gone)), ("Makes milder", milder_words(report.findings, plan)),
        ("Leaves", in_words(left)), ("Brings", in_words(plan.brings))) if words]
    told += [("Price", f"{plain('; '.join(plan.price), 600)}.")] if plan.price else []
    told += [("Guiding", "As it is now.")] if guided_as_now else []
    wide, narrow = (before_after(report.study, after, report.findings, plan, width) for width in (WIDE, SLIM))
    return PlanPanel(instructions(plan.proposal), tuple(told), wide, narrow, strip)


def failure_rows(report: Report) -> tuple[tuple[str, str, str], ...]:
    """What stops pictures or guiding when it fails: what, what stops, what to do meanwhile; in the words of plan B."""
    from topo.cli.planb_sheet import title_of
    from topo.model.plain import plain
    from topo.pipeline import examiner
    from topo.place.planb import night_stops
    from topo.place.spares import spare_words

    rows: dict[tuple[str, str], list[str]] = {}
    for failure in night_stops(report.study, report.findings, examiner()):
        do = [f"plug {plain(each.part)} into {plain(each.plug)}" for each in failure.refuges if each.plug is not None]
        do += [] if failure.spare is None else [f"have ready: {spare_words(failure.spare)}"]
        said = "; ".join(do) or "nothing at hand helps"
        rows.setdefault((", ".join(map(plain, failure.services)), said), []).append(title_of(failure))
    return tuple((", ".join(names), stops, do) for (stops, do), names in rows.items())
