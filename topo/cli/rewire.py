"""`topo rewire`: the frontier of changes, best first, with what was proven of the fewest plugs."""

from __future__ import annotations

import re
import sys
from typing import TYPE_CHECKING, Any

import click

from topo.cli.show import width_option
from topo.cli.unchecked import finish
from topo.progress import listen

if TYPE_CHECKING:
    from topo.model.finding import Finding, Severity
    from topo.place.frontier import Frontier
    from topo.place.judge import Judged


ALLOWED = "plans that make nothing slower and move nothing to where its cable may not reach"
"""The plans that count, in the words of the proof (`topo/place/search.py`)."""


@click.command()
@click.argument("rig", type=click.Path())
@click.option("--pin", multiple=True, metavar="PART", help="A part that stays where it is; may be given again.")
@click.option("--moves", type=click.IntRange(0, 6), default=3, show_default=True, help="Most plugs to move.")
@click.option("--risks", "what", flag_value="risks", default="risks", help="Clear faults and risks. [default]")
@click.option("--faults", "what", flag_value="faults", help="Clear the faults alone.")
@width_option
@click.option("--json", "json_", is_flag=True, help="One JSON object.")
def command(rig: str, pin: tuple[str, ...], moves: int, what: str, json_: bool) -> None:
    """What could be changed in RIG, from the least trouble up: plugs, settings with their price, one part bought.

    The first is what `topo check` says to do first. Each was computed with all of it done. Only plans that make nothing
    slower: no device ends at a lower USB speed than it has now, and nothing goes to the other end of a leg of 5 m or
    more unless its cable surely reaches. Ctrl-C stops with the best so far.

    Exit status 1 where nothing clears them all.
    """
    from topo.analysis.study import Study
    from topo.cli.planning import examiner
    from topo.model.finding import in_order
    from topo.pipeline import rig_of
    from topo.place.frontier import frontier
    from topo.rigfile.read import read

    study, every = Study(rig_of(read(rig))), examiner()
    clear: tuple[Severity, ...] = ("fault",) if what == "faults" else ("fault", "risk")
    progress = _Progress()
    try:
        found = frontier(study, in_order(every(study)), every, clear, moves, frozenset(pin), progress)
    finally:
        progress.done()
    if json_:
        _print_json(found, clear)
    else:
        _print(found, clear)
    targets = _bad(found.now, clear)
    cleared = not targets or any(not _bad(plan.findings, clear) for plan in found.plans)
    finish(0 if cleared else 1)


def _bad(findings: tuple[Finding, ...], clear: tuple[Severity, ...]) -> tuple[Finding, ...]:
    return tuple(finding for finding in findings if finding.severity in clear)


class _Progress:
    """Tells on a terminal how far the search is."""

    def __init__(self) -> None:
        self.shown = False
        listen(None)  # the search says itself how far it is

    def __call__(self, size: int, studied: int) -> bool:
        if studied % 200 == 0 and sys.stderr.isatty():
            self.shown = True
            click.echo(
                f"\rsearching {size} moves: {studied} plans looked at (Ctrl-C stops with the best so far)",
                err=True,
                nl=False,
            )
        return True

    def done(self) -> None:
        if self.shown:
            click.echo("\r" + " " * 78 + "\r", err=True, nl=False)


def proof(found: Frontier, clear: tuple[Severity, ...]) -> str:
    """What was searched for the fewest plugs, as a sentence that can be checked."""
    what = " and ".join(f"{severity}s" for severity in clear)
    answer = found.answer
    if answer is None:
        return "Stopped: by plugs alone at least 1 move, proven (looked at: the rig as it is)."
    counts = answer.searched.studied
    sizes = ", ".join(f"{count} of {_moves(size)}" for size, count in enumerate(counts))
    if not answer.searched.complete:
        why = "Stopped" if found.stopped else "Not searched to its end, which would take long"
        if answer.plan is not None:
            size = len(answer.plan.moves)
            fewest = f"{_moves(size)}, proven to be the fewest"
            return f"{why}: by plugs alone {fewest}; a better plan of as many may be left."
        return f"{why}: by plugs alone at least {_moves(max(1, len(counts) - 1))}, proven (tried: {sizes})."
    if answer.plan is None:
        return (
            f"No plan of {_moves(len(counts) - 1)} or fewer clears all {what} by plugs alone. Tried: every plan that "
            f"touches what they depend on ({sizes}). Only {ALLOWED} count."
        )
    size = len(answer.plan.moves)
    if not size:
        if not found.plans:
            return f"Moving plugs clears none of the {what}."
        return f"Moving plugs does not help further: it clears none of the {what} that the changes above leave."
    fewer = f"every plan of {_moves(size - 1)} or fewer that touches what they depend on"
    smaller = "the rig as it is" if size == 1 else fewer
    return (
        f"By plugs alone it takes {_moves(size)}, proven. Tried: {smaller}, and then every plan of {_moves(size)} "
        f"({sizes}). Only {ALLOWED} count."
    )


def _moves(count: int) -> str:
    return f"{count} move" if count == 1 else f"{count} moves"


def _print(found: Frontier, clear: tuple[Severity, ...]) -> None:
    from topo.cli.show import paragraph
    from topo.place.consequence import in_words

    words = " and ".join(f"{severity}s" for severity in clear)
    targets = _bad(found.now, clear)
    if not targets:
        none = words.replace(" and ", " and no ")
        paragraph(f"Nothing to do: the rig has no {none}." if len(clear) > 1 else _only_faults(found))
        return
    paragraph(f"To clear: {in_words(targets)}.")
    for number, plan in enumerate(found.plans, 1):
        click.echo()
        _print_plan(number, plan, found.now)
    if not found.plans:
        click.echo()
        paragraph("Nothing that can be plugged, set or bought clears any of them; `topo check` says what else helps.")
    if found.why:
        click.echo("\nWhy no single plug does it:")
    for why in found.why:
        paragraph(why, "    ", "  - ")
    click.echo()
    paragraph(proof(found, clear))
    _print_cautions(found, clear)


def _only_faults(found: Frontier) -> str:
    risks = len(_bad(found.now, ("risk",)))
    left = f" It has {risks} risk{'s' if risks > 1 else ''}: without --faults they count." if risks else ""
    return f"Nothing to do: the rig has no faults.{left}"


def _print_plan(number: int, judged: Judged, now: tuple[Finding, ...]) -> None:
    from topo.cli.show import paragraph
    from topo.place.consequence import in_words
    from topo.wiring.instructions import instructions, milder_words

    plan = judged.plan
    for index, line in enumerate(instructions(plan.proposal)):
        paragraph(line, "    ", f"{number:2}. " if not index else "    ")
    for line in plan.proposal.to_try:
        paragraph(f"Check that the cable reaches: {line}.", "    ", "    ")
    if plan.gone:
        paragraph(f"Clears: {in_words(plan.gone)}.", "    ", "    ")
    if eased := milder_words(now, plan):
        paragraph(f"Makes milder: {eased}.", "    ", "    ")
    left = tuple(finding for finding in plan.leaves if finding not in plan.brings)
    if left:
        paragraph(f"Leaves: {in_words(left)}.", "    ", "    ")
    if plan.brings:
        paragraph(f"Brings: {in_words(plan.brings)}.", "    ", "    ")
    if plan.price:
        paragraph(f"Price: {'; '.join(plan.price)}.", "    ", "    ")


def _print_cautions(found: Frontier, clear: tuple[Severity, ...]) -> None:
    from topo.cli.show import paragraph
    from topo.model.cautions import CAUTIONS

    if not speaks_of_power(found, clear):
        return
    click.echo("\nOn power:")
    for caution in CAUTIONS:
        paragraph(caution, "    ", "  - ")


def speaks_of_power(found: Frontier, clear: tuple[Severity, ...]) -> bool:
    """Whether anything that is printed is of supplies, volts or currents: in a figure of a finding, or in words."""
    from topo.model.cautions import POWER_WORDS
    from topo.place.consequence import in_words
    from topo.wiring.instructions import instructions

    plans = [each.plan for each in found.plans]
    told = (*_bad(found.now, clear), *(f for plan in plans for f in (*plan.clears, *plan.leaves, *plan.brings)))
    words = [in_words(told), *found.why, *(line for plan in plans for line in instructions(plan.proposal))]
    return any(finding.has_power_figure for finding in told) or any(re.search(POWER_WORDS, text) for text in words)


def _print_json(found: Frontier, clear: tuple[Severity, ...]) -> None:
    from topo.cli.planning import consequence_json, finding_json
    from topo.cli.show import as_json
    from topo.report.asjson import plan_json

    answer = found.answer
    plans: list[dict[str, Any]] = [
        {**plan_json(each.plan), "after": consequence_json(each.consequence)} for each in found.plans
    ]
    as_json(
        "topo.rewire.1",
        {
            "clears": list(clear),
            "to_clear": [finding_json(f) for f in _bad(found.now, clear)],
            "plans": plans,
            "stuck": [finding_json(f) for f in found.stuck],
            "why": list(found.why),
            "plans_studied": list(answer.searched.studied) if answer is not None else [],
            "complete": answer is not None and answer.searched.complete and not found.stopped,
            "proof": proof(found, clear),
        },
    )
