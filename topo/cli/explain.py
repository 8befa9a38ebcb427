"""`topo explain`: why a finding matters, from the text of its check; without a name, all findings in a line each."""

from __future__ import annotations

import inspect
import re
from typing import TYPE_CHECKING, Any

import click

from topo.model.cautions import SHORT

if TYPE_CHECKING:
    from topo.model.check import Check
    from topo.plugin.load import Plugins
    from topo.report.page import Page

POWER_WORDS = r"\b(12 V|supply|supplies|volts|fuses?|amps|mA)\b"
"""An explanation with one of these words speaks of power, and the cautions stand below it."""


@click.command(short_help="Explain a finding.")
@click.argument("finding", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.explain.1) instead of text.")
def command(finding: str | None, as_json: bool) -> None:
    """Explain the FINDING of that name: what it means and what would refute it. Without one, list them all."""
    from topo.cli.look_ups import mention, new_page, show, show_json, unknown
    from topo.plugin.load import load

    plugins = load(("topo_checks",))
    checks = [check for check in plugins.checks if finding is None or check.name == finding.strip().lower()]
    mention(plugins.troubles)
    if finding is not None and not checks:
        raise unknown("finding", finding, [check.name for check in plugins.checks], "topo explain")
    if as_json:
        show_json({"format": "topo.explain.1", "findings": [_as_object(check, plugins) for check in checks]})
        return
    page = new_page()
    if finding is None:
        _list(page, checks)
    else:
        _explain(page, checks[0], plugins)
    show(page)


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
    if re.search(POWER_WORDS, check.explanation):
        page.blank()
        page.hang(SHORT, 0)


def _as_object(check: Check, plugins: Plugins) -> dict[str, Any]:
    return {
        "name": check.name, "summary": check.summary, "severities": list(check.severities), "needs": check.needs,
        "explanation": inspect.cleandoc(check.explanation).strip(),
        "supplied_by": str(plugins.supplier_of(check.name)),
    }
