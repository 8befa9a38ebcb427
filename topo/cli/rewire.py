"""`topo rewire`: the fewest plug moves that clear the faults, with the proof."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from topo.cli.unchecked import finish
from topo.progress import listen

if TYPE_CHECKING:
    from topo.model.finding import Finding, Severity
    from topo.place.advice import Advice
    from topo.place.search import Answer
    from topo.place.settings import Settings


ALLOWED = "of plans that make nothing slower and send nothing to another place its cable may not reach"
"""The plans that count, in the words of the proof (`topo/place/search.py`)."""


@click.command()
@click.argument("rig", type=click.Path())
@click.option("--pin", multiple=True, metavar="PART", help="A part that stays where it is; may be given again.")
@click.option("--moves", type=click.IntRange(0, 6), default=3, show_default=True, help="Most moves to search.")
@click.option("--risks", is_flag=True, help="Clear the risks as well, not the faults alone.")
@click.option("--json", "json_", is_flag=True, help="One JSON object.")
def command(rig: str, pin: tuple[str, ...], moves: int, risks: bool, json_: bool) -> None:
    """Find the fewest plug moves that clear RIG's faults. Settings that help come first: they cost no move.

    Only plans that make nothing slower: no device ends at a lower USB speed than it has now, and nothing goes to the
    other end of a leg of 5 m or more unless its cable surely reaches.

    Exit status 1 where nothing within --moves clears them.
    """
    from topo.cli.planning import examiner
    from topo.pipeline import rig_of
    from topo.place.advice import advise
    from topo.rigfile.read import read

    whole = rig_of(read(rig))
    clear: tuple[Severity, ...] = ("fault", "risk") if risks else ("fault",)
    progress = _Progress()
    try:
        advice = advise(whole, examiner(), clear, moves, frozenset(pin), progress)
    finally:
        progress.done()
    if json_:
        _print_json(advice, clear)
    else:
        _print(advice, clear, moves)
    finish(0 if any(not _bad(findings, clear) for findings in _ways(advice)) else 1)


def _ways(advice: Advice) -> list[tuple[Finding, ...]]:
    """What each way leaves: moves, settings, both."""
    plan = advice.moves.plan or advice.moves.best
    mixed = [advice.mixed.settings.findings] if advice.mixed else []
    return [plan.findings, advice.settings.findings, *mixed]


def _bad(findings: tuple[Finding, ...], clear: tuple[Severity, ...]) -> tuple[Finding, ...]:
    return tuple(finding for finding in findings if finding.severity in clear)


class _Progress:
    """Tells on a terminal how far the search is; Ctrl-C stops it with the best so far."""

    def __init__(self) -> None:
        self.shown = False
        self.stop = False
        listen(None)  # the search says itself how far it is
        import signal

        try:
            self.old = signal.signal(signal.SIGINT, self._interrupted)
        except ValueError:
            self.old = None

    def _interrupted(self, *_: object) -> None:
        self.stop = True

    def __call__(self, size: int, studied: int) -> bool:
        if studied % 200 == 0 and sys.stderr.isatty():
            self.shown = True
            click.echo(
                f"\rsearching {size} moves: {studied} plans looked at (Ctrl-C stops with the best so far)",
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


def proof(answer: Answer, clear: tuple[Severity, ...]) -> str:
    """What was searched, as a sentence that can be checked."""
    counts = answer.searched.studied
    sizes = ", ".join(f"{count} of {_moves(size)}" for size, count in enumerate(counts))
    what = " and ".join(f"{severity}s" for severity in clear)
    if not answer.searched.complete:
        return f"The search was stopped: this is the best so far, not proven (plans looked at: {sizes})."
    if answer.plan is None:
        return (
            f"No set of {_moves(len(counts) - 1)} or fewer clears the {what}: {ALLOWED}, all that touch what they "
            f"hang on were looked at (plans: {sizes})."
        )
    size = len(answer.plan.moves)
    if not size:
        return f"No plug has to move for the {what}."
    fewer = f"all sets of {_moves(size - 1)} or fewer that touch what they hang on"
    smaller = "the rig as it is" if size == 1 else fewer
    return (
        f"No set of fewer moves clears the {what}: {ALLOWED}, {smaller}, and all of {_moves(size)} for "
        f"the best of them, were looked at (plans: {sizes})."
    )


def _moves(count: int) -> str:
    return f"{count} move" if count == 1 else f"{count} moves"


def how(moves: tuple[tuple[str, str, str], ...]) -> list[str]:
    """The moves as instructions, in an order that can be carried out; parts that exchange sockets are a swap."""
    from topo.model.plain import plain
    from topo.place.advice import in_order

    words = []
    for step in in_order(moves):
        names = [(plain(part), plain(was), plain(to)) for part, was, to in step]
        if len(step) == 1:
            part, was, to = names[0]
            words.append(f"Move {part} from {was} to {to}.")
        elif len(step) == 2:
            (one, was, to), (other, _, _) = names
            words.append(
                f"Swap {one} ({was}) and {other} ({to}): pull both, then plug each into the other's socket. Two moves."
            )
        else:
            each = "; ".join(f"{part} from {was} to {to}" for part, was, to in names)
            words.append(f"Pull these plugs first, then plug them in anew ({len(step)} moves): {each}.")
    return words


def _print(advice: Advice, clear: tuple[Severity, ...], most: int) -> None:
    from topo.cli.planning import consequence_words
    from topo.cli.show import paragraph
    from topo.place.consequence import in_words

    answer, what = advice.moves, " and ".join(f"{severity}s" for severity in clear)
    click.echo(f"Now: {consequence_words(answer.start.consequence)}.")
    to_clear = _bad(answer.start.findings, clear)
    if not to_clear:
        paragraph(f"Nothing to do: the rig has no {what}.")
        return
    paragraph(f"To clear: {in_words(to_clear)}.")
    if answer.fixed:
        paragraph(f"No plug changes: {in_words(answer.fixed)}. `topo check` says what does.")
    if advice.settings.changes:
        click.echo("\nWithout moving a plug:")
        _print_settings(advice.settings, clear)
    plan = answer.plan or answer.best
    if plan.moves:
        click.echo(f"\n{'The fewest moves' if answer.plan else 'The best found, which leaves some'}: {len(plan.moves)}")
        _print_moves(plan.moves, plan.to_try)
        left = _bad(plan.findings, clear)
        paragraph(
            f"Then: {consequence_words(plan.consequence)}." + (f" Left: {in_words(left)}." if left else ""), "  "
        )
    elif answer.plan is None:
        click.echo()
        paragraph(
            f"No way found to make it better with {_moves(most)} and the cables there are; `topo check` says where a "
            "longer one would help."
        )
    if advice.mixed is not None:
        click.echo(f"\nFewer moves, with settings: {len(advice.mixed.moves)}")
        _print_moves(advice.mixed.moves, advice.mixed.to_try)
        _print_settings(advice.mixed.settings, clear)
    click.echo()
    paragraph(proof(answer, clear))
    _print_cautions(answer)


def _print_moves(moves: tuple[tuple[str, str, str], ...], to_try: tuple[str, ...]) -> None:
    from topo.cli.show import paragraph

    for line in how(moves):
        paragraph(line, "    ", "  - ")
    for line in to_try:
        paragraph(f"Check that the cable reaches: {line}.", "    ", "    ")


def _print_settings(helped: Settings, clear: tuple[Severity, ...]) -> None:
    from topo.cli.planning import consequence_words
    from topo.cli.show import paragraph
    from topo.model.plain import plain
    from topo.place.consequence import in_words

    for change in helped.changes:
        safe = " (the highest safe value)" if change.key == "limit_mb_per_s" else ""
        paragraph(f"Set {change.key} of {plain(change.part)} to {change.value:g}{safe}.", "    ", "  - ")
    left = _bad(helped.findings, clear)
    paragraph(
        f"Then: {consequence_words(helped.consequence)}." + (f" Left: {in_words(left)}." if left else ""), "  "
    )


def _print_cautions(answer: Answer) -> None:
    from topo.cli.show import paragraph
    from topo.model.cautions import CAUTIONS

    if not any(finding.name in ("port-current-exceeded", "supply-overloaded") for finding in answer.start.findings):
        return
    click.echo("\nOn power:")
    for caution in CAUTIONS:
        paragraph(caution, "    ", "  - ")


def _print_json(advice: Advice, clear: tuple[Severity, ...]) -> None:
    from topo.cli.planning import consequence_json, finding_json
    from topo.cli.show import as_json

    answer = advice.moves
    plan = answer.plan or answer.best
    mixed = advice.mixed
    as_json(
        "topo.rewire.1",
        {
            "clears": list(clear),
            "before": consequence_json(answer.start.consequence),
            "settings": _settings_json(advice.settings, clear),
            "cleared": answer.plan is not None,
            "moves": _moves_json(plan.moves),
            "check_reach": list(plan.to_try),
            "after": consequence_json(plan.consequence),
            "left": [finding_json(f) for f in _bad(plan.findings, clear)],
            "no_plug_changes": [finding_json(f) for f in answer.fixed],
            "with_settings": None
            if mixed is None
            else {
                "moves": _moves_json(mixed.moves),
                "check_reach": list(mixed.to_try),
                "settings": _settings_json(mixed.settings, clear),
            },
            "plans_studied": list(answer.searched.studied),
            "complete": answer.searched.complete,
            "proof": proof(answer, clear),
        },
    )


def _moves_json(moves: tuple[tuple[str, str, str], ...]) -> list[dict[str, str]]:
    return [{"part": part, "from": was, "to": to} for part, was, to in moves]


def _settings_json(helped: Settings, clear: tuple[Severity, ...]) -> dict[str, object]:
    from topo.cli.planning import consequence_json, finding_json

    return {
        "changes": [{"part": c.part, "key": c.key, "value": c.value} for c in helped.changes],
        "after": consequence_json(helped.consequence),
        "left": [finding_json(f) for f in _bad(helped.findings, clear)],
    }
