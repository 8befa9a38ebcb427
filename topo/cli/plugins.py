"""`topo plugins`: who supplies what, and what went wrong with whom."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from topo.cli.show import width_option

if TYPE_CHECKING:
    from topo.plugin.load import Plugins, Supplied
    from topo.report.page import Page

SUPPLIED = ("profiles", "checks", "scanners", "renderers", "evidence_readers")
WORDS = {"evidence_readers": "evidence"}
"""Fields of what a plugin supplies, and the words for those that are not their own."""


@click.command(short_help="Show who supplies what.")
@width_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.plugins.1) instead of text.")
@click.pass_context
def command(ctx: click.Context, as_json: bool) -> None:
    """Show every plugin with what it supplies, your own profiles, and what went wrong.

    Exit status: 0 all is well; 3 a plugin failed, in whole or in part.
    """
    from topo.plugin.folder import profile_folder
    from topo.plugin.load import loaded

    plugins = loaded()
    if as_json:
        from topo.cli.look_ups import show_json

        show_json(as_object(plugins))
    else:
        from topo.cli.look_ups import new_page, show

        page = new_page()
        tell(page, plugins, str(profile_folder()))
        show(page)
    ctx.exit(3 if plugins.troubles else 0)


def tell(page: Page, plugins: Plugins, folder: str) -> None:
    """Who supplies what: what went wrong comes first."""
    for trouble in plugins.troubles:
        page.say(str(trouble), "failed", "risk")
    for supplied in plugins.suppliers:
        page.blank()
        page.hang(str(supplied.supplier), 0)
        for kind in SUPPLIED:
            names = getattr(supplied, kind)
            if names:
                page.say(", ".join(names), WORDS.get(kind, kind))
    page.blank()
    own = plugins.shelf.own_names
    page.hang(f"your own profiles, from {folder}", 0)
    page.say(", ".join(own) if own else "none yet: put a YAML file there, or run `topo profiles new`", "profiles")


def as_object(plugins: Plugins) -> dict[str, Any]:
    """The same for JSON."""
    return {
        "format": "topo.plugins.1",
        "plugins": [_supplied(supplied) for supplied in plugins.suppliers],
        "own_profiles": list(plugins.shelf.own_names),
        "troubles": [
            {"plugin": t.plugin, "distribution": t.distribution, "version": t.version, "what": t.what}
            for t in plugins.troubles
        ],
    }


def _supplied(supplied: Supplied) -> dict[str, Any]:
    who = supplied.supplier
    return {
        "plugin": who.plugin, "distribution": who.distribution, "version": who.version,
        **{kind: list(getattr(supplied, kind)) for kind in SUPPLIED},
    }
