"""`topo diff`: what moved between two plans, and what that did to the findings."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from topo.cli.show import width_option
from topo.cli.unchecked import finish

if TYPE_CHECKING:
    from topo.model.finding import Finding
    from topo.place.diff import PlanDiff


@click.command()
@click.argument("rig_a", type=click.Path())
@click.argument("rig_b", type=click.Path())
@width_option
@click.option("--json", "json_", is_flag=True, help="One JSON object.")
def command(rig_a: str, rig_b: str, json_: bool) -> None:
    """Show what is different in RIG_B, and which findings went and came."""
    from topo.cli.planning import consequence_json, examiner, finding_json
    from topo.pipeline import study_file
    from topo.place.consequence import consequence
    from topo.place.diff import compare_plans

    one, other = study_file(rig_a), study_file(rig_b)
    every = examiner()
    findings, then = every(one), every(other)
    found = compare_plans(one.rig, other.rig, findings, then)
    before, after = consequence(one, findings), consequence(other, then)
    if json_:
        from topo.cli.show import as_json

        as_json(
            "topo.diff.1",
            {
                "parts": [{"part": d.part, "what": d.what, "before": d.before, "after": d.after} for d in found.parts],
                "gone": [finding_json(f) for f in found.gone],
                "new": [finding_json(f) for f in found.new],
                "kept": [finding_json(f) for f in found.kept],
                "before": consequence_json(before),
                "after": consequence_json(after),
            },
        )
    else:
        from topo.cli.planning import consequence_words
        from topo.cli.show import paragraph

        _print(found)
        click.echo()
        paragraph(f"{consequence_words(before)}.", "        ", "Before: ")
        paragraph(f"{consequence_words(after)}.", "        ", "After:  ")
    finish()


def _print(found: PlanDiff) -> None:
    from topo.cli.show import paragraph
    from topo.model.plain import plain

    if not found.parts:
        click.echo("The two plans are the same.")
    for part in found.parts:
        ways = {
            "added": f"added at {plain(part.after)}",
            "removed": f"removed from {plain(part.before)}",
            "moved": f"moved from {plain(part.before)} to {plain(part.after)}",
            "changed": _change(plain(part.before), plain(part.after)),
        }
        paragraph(f"{plain(part.part)}: {ways[part.what]}", "    ")
    _list("Gone", found.gone)
    _list("New", found.new)
    _list("Still there", found.kept)


def _change(before: str, after: str) -> str:
    """A change in words: `os was linux, is now not given`; `added: supply of 12 V`."""
    if "not there" in (before, after):
        return f"added: {after}" if before == "not there" else f"removed: {before}"
    key, _, was = before.partition(" ")
    other, _, now = after.partition(" ")
    return f"{key} was {was}, is now {now}" if key == other else f"{before}; is now {after}"


def _list(title: str, findings: tuple[Finding, ...]) -> None:
    from topo.cli.show import paragraph

    if findings:
        click.echo(f"\n{title}:")
    for finding in findings:
        by = f" (from plugin {finding.supplied_by})" if finding.supplied_by else ""
        paragraph(f"{finding.severity} {finding.name}: {finding.message}{by}", "    ", "  - ")
