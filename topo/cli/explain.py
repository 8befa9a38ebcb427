"""`topo explain`: why a finding matters, from the text of its check; without a name, all findings in a line each."""

from __future__ import annotations

import inspect
import re
from typing import TYPE_CHECKING, Any

import click

from topo.cli.show import width_option
from topo.model.cautions import POWER_WORDS, SHORT

if TYPE_CHECKING:
    from collections.abc import Iterable

    from topo.model.check import Check
    from topo.plugin.load import Plugins
    from topo.report.page import Page


@click.command(short_help="Explain a finding.")
@click.argument("finding", nargs=-1)
@width_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.explain.1) instead of text.")
def command(finding: tuple[str, ...], as_json: bool) -> None:
    """Explain the FINDING of that name: what it means and what would prove it wrong. Without one, list them all.

    What you see works too, in plain words: `topo explain port in use` lists the findings that can be behind it, and the
    symptoms that `topo chase` follows to the cause.
    """
    from topo.cli.look_ups import mention, new_page, show, show_json, unknown
    from topo.plugin.load import load

    plugins = load(("topo_checks",))
    said = " ".join(finding).strip()
    checks = [check for check in plugins.checks if not said or check.name == said.lower()]
    mention(plugins.troubles)
    followed: list[tuple[str, str]] = []
    if said and not checks:
        checks, followed = _behind(said, plugins.checks), _followed(said)
        if not checks and not followed:
            raise unknown("finding", said, [check.name for check in plugins.checks], "topo explain")
    if as_json:
        show_json({"format": "topo.explain.1", "findings": [_as_object(check, plugins) for check in checks]})
        return
    page = new_page()
    if len(checks) == 1 and not followed:
        _explain(page, checks[0], plugins)
    else:
        _list(page, checks)
    if followed:
        page.blank()
        page.say("`topo chase RIG --symptom NAME --at PART` finds which it is.", "chase", "strong")
        for name, words in followed:
            page.hang(f"{name}: {words}", 4, "- ")
    show(page)


def _behind(said: str, checks: Iterable[Check]) -> list[Check]:
    """The checks that what a person sees may come from: by their symptoms, else by name and summary."""
    from topo.words.said import best_match

    found: dict[int, list[Check]] = {}
    for check in checks:
        place = best_match(said, (check.symptoms, (f"{check.name} {check.summary}",)))
        if place is not None:
            found.setdefault(place, []).append(check)
    return found[min(found)] if found else []


def _followed(said: str) -> list[tuple[str, str]]:
    """Symptoms of a chase that are meant, each with its words."""
    from topo.chase.symptoms import SYMPTOMS
    from topo.words.said import best_match

    return [(s.name, s.words) for s in SYMPTOMS if best_match(said, ((f"{s.name} {s.words}",),)) is not None]


def _list(page: Page, checks: list[Check]) -> None:
    from topo.report.page import Column

    page.table((Column("finding", most=40), Column("severity"), Column("what it says")),
               [(check.name, ", ".join(check.severities), check.summary) for check in checks], indent=0)


def _explain(page: Page, check: Check, plugins: Plugins) -> None:
    page.say(check.summary, "finding", text_style="strong")
    page.say(", ".join(check.severities), "severity")
    page.say(str(plugins.supplier_of(check.name)), "from")
    for paragraph in inspect.cleandoc(check.explanation).split("\n\n"):
        page.blank()
        page.hang(" ".join(paragraph.split()), 0)
    if check.tested_by:
        page.blank()
        page.hang(f"To test it: {check.tested_by}.", 0)
    if re.search(POWER_WORDS, check.explanation):
        page.blank()
        page.hang(SHORT, 0)


def _as_object(check: Check, plugins: Plugins) -> dict[str, Any]:
    return {
        "name": check.name, "summary": check.summary, "severities": list(check.severities), "needs": check.needs,
        "explanation": inspect.cleandoc(check.explanation).strip(), "tested_by": check.tested_by or None,
        "supplied_by": str(plugins.supplier_of(check.name)),
    }
