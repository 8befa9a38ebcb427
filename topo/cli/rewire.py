"""`topo rewire`: the fewest plug moves that clear the faults, with the proof."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from topo.place.search import Answer, Plan
    from topo.place.settings import Settings


@click.command()
@click.argument("rig", type=click.Path())
@click.option("--pin", multiple=True, metavar="PART", help="A part that stays where it is; may be given again.")
@click.option("--moves", type=click.IntRange(0, 6), default=3, show_default=True, help="Most moves to search.")
@click.option("--risks", is_flag=True, help="Clear the risks as well, not the faults alone.")
@click.option("--json", "json_", is_flag=True, help="One JSON object.")
@click.pass_context
def command(ctx: click.Context, rig: str, pin: tuple[str, ...], moves: int, risks: bool, json_: bool) -> None:
    """Find the fewest plug moves that clear RIG's faults. Settings that help come first: they cost no move.

    Exit status 1 where nothing within --moves clears them.
    """
    from topo.cli.planning import examine_all, examiner
    from topo.model.finding import Severity
    from topo.pipeline import rig_of
    from topo.place.search import rewire
    from topo.place.settings import settings
    from topo.rigfile.read import read

    whole = rig_of(read(rig))
    clear: tuple[Severity, ...] = ("fault", "risk") if risks else ("fault",)
    progress = _Progress()
    answer = rewire(whole, examiner(), clear, moves, frozenset(pin), progress)
    progress.done()
    base = answer.plan or answer.best
    helped = settings(answer.start.study, examine_all, clear)
    if json_:
        _print_json(answer, helped, clear)
    else:
        _print(answer, helped, clear, moves)
    left = [f for f in base.findings if f.severity in clear]
    ctx.exit(1 if left and [f for f in helped.findings if f.severity in clear] else 0)


class _Progress:
    """Tells on a terminal how far the search is; Ctrl-C stops it with the best so far."""

    def __init__(self) -> None:
        self.shown = False
        self.stop = False
        import signal

        try:
            self.old = signal.signal(signal.SIGINT, self._interrupted)
        except ValueError:
            self.old = None

    def _interrupted(self, *_: object) -> None:
        self.stop = True

    def __call__(self, size: int, studied: int) -> bool:
        if sys.stderr.isatty() and studied % 10 == 0:
            self.shown = True
            click.echo(
                f"\rsearching {size} moves: {studied} plans studied (Ctrl-C stops with the best so far)",
                err=True,
                nl=False,
            )
        return not self.stop

    def done(self) -> None:
        import signal

        if self.old is not None:
            signal.signal(signal.SIGINT, self.old)
        if self.shown:
            click.echo("\r" + " " * 78 + "\r", err=True, nl=False)


def proof(answer: Answer, clear: tuple[str, ...]) -> str:
    """What was searched, as a sentence that can be checked."""
    sizes = ", ".join(f"{count} with {size}" for size, count in enumerate(answer.searched.studied))
    what = " and ".join(f"{severity}s" for severity in clear)
    if answer.plan is not None and answer.plan.moves:
        size = len(answer.plan.moves)
        return (
            f"No smaller set of moves clears the {what}: every plan of {size - 1} or fewer moves that touches what "
            f"they depend on was searched (plans studied: {sizes} moves)."
        )
    if not answer.searched.complete:
        return f"The search was stopped; this is the best so far (plans studied: {sizes} moves)."
    return f"All plans that touch what the {what} depend on were searched (plans studied: {sizes} moves)."


def how(plan: Plan) -> list[str]:
    """The moves as instructions; two parts that exchange sockets are said to be a swap."""
    from topo.model.plain import plain

    words, done = [], set()
    for part, was, to in plan.moves:
        if part in done:
            continue
        partner = next(
            (other for other, from_, then in plan.moves if from_ == to and then == was and other != part), None
        )
        if partner is not None:
            done.add(partner)
            words.append(
                f"Swap {plain(part)} and {plain(partner)} (pull both, then plug each into the other's socket): "
                f"{plain(was)} and {plain(to)}. Two moves."
            )
        else:
            words.append(f"Move {plain(part)} from {plain(was)} to {plain(to)}.")
    return words


def _print(answer: Answer, helped: Settings, clear: tuple[str, ...], most: int) -> None:
    from topo.cli.planning import consequence_words
    from topo.cli.show import paragraph
    from topo.place.consequence import in_words

    start, what = answer.start, " and ".join(f"{severity}s" for severity in clear)
    to_clear = tuple(f for f in start.findings if f.severity in clear)
    click.echo(f"Now: {consequence_words(start.consequence)}.")
    if not to_clear:
        paragraph(f"Nothing to do: the rig has no {what}.")
        return
    paragraph(f"To clear: {in_words(to_clear)}.")
    if helped.changes:
        left = tuple(f for f in helped.findings if f.severity in clear)
        click.echo("\nWithout moving a plug:")
        for change in helped.changes:
            paragraph(
                f"Set {change.key} of {change.part} to {change.value} (the highest safe value)."
                if change.key == "limit_mb_per_s"
                else f"Set {change.key} of {change.part} to {change.value}.",
                "    ",
                "  - ",
            )
        paragraph(
            f"Then: {consequence_words(helped.consequence)}." + (f" Left: {in_words(left)}." if left else ""), "  "
        )
    plan = answer.plan or answer.best
    if not plan.moves:
        paragraph(f"\nNo move of {most} plugs or fewer makes it better.")
    else:
        count = len(plan.moves)
        click.echo(f"\n{'The fewest moves' if answer.plan else 'The best found, which leaves some'}: {count}")
        for line in how(plan):
            paragraph(line, "    ", "  - ")
        for line in plan.to_try:
            paragraph(f"Check that the cable reaches: {line}.", "    ", "    ")
        paragraph(f"Then: {consequence_words(plan.consequence)}.", "  ")
    click.echo()
    paragraph(proof(answer, clear))


def _print_json(answer: Answer, helped: Settings, clear: tuple[str, ...]) -> None:
    from topo.cli.planning import consequence_json, finding_json
    from topo.cli.show import as_json

    plan = answer.plan or answer.best
    as_json(
        "topo.rewire.1",
        {
            "clears": list(clear),
            "before": consequence_json(answer.start.consequence),
            "settings": {
                "changes": [{"part": c.part, "key": c.key, "value": c.value} for c in helped.changes],
                "after": consequence_json(helped.consequence),
                "left": [finding_json(f) for f in helped.findings if f.severity in clear],
            },
            "cleared": answer.plan is not None,
            "moves": [{"part": part, "from": was, "to": to} for part, was, to in plan.moves],
            "check_reach": list(plan.to_try),
            "after": consequence_json(plan.consequence),
            "left": [finding_json(f) for f in plan.findings if f.severity in clear],
            "plans_studied": list(answer.searched.studied),
            "complete": answer.searched.complete,
            "proof": proof(answer, clear),
        },
    )
