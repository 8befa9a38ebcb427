"""`topo profiles`: finds profiles by word, shows every figure of one with unit, basis and source, writes new ones."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import click

from topo.cli.show import width_option
from topo.errors import RigFileError, TopoError
from topo.model.declare import known
from topo.model.rig import ROLES

if TYPE_CHECKING:
    from topo.model.facts import Fact
    from topo.model.profile import Profile
    from topo.plugin.load import Plugins
    from topo.report.page import Page


class _Words(click.Group):
    """A group where anything that is no command of it is a word to look for."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if not args or args[0] not in (*self.commands, "-h", "--help"):
            args = ["find", *args]
        return super().parse_args(ctx, args)

    def format_usage(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        formatter.write_usage(ctx.command_path, "[--json] [--width N] [WORD]...")
        formatter.write_usage(ctx.command_path, "new [OPTIONS] [NAME]")


@click.group(cls=_Words, short_help="Find profiles of devices, hubs, computers.")
def command() -> None:
    """Find profiles: all of them, those with every WORD in name, kind, role or summary, or one by its name.

    A profile's figures are shown with unit, basis and source when only one is left. `topo profiles new` writes one of
    your own, from a data sheet or a saved scan.
    """


@command.command(hidden=True)
@click.argument("words", nargs=-1, metavar="[WORD]...")
@width_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.profiles.1) instead of text.")
@click.pass_context
def find(ctx: click.Context, words: tuple[str, ...], as_json: bool) -> None:
    """Find profiles that hold every WORD, or show the one of that name.

    Exit status: 0 found; 2 nothing fits, or a profile file of your own cannot be read; 3 a plugin's cannot.
    """
    from topo.cli.look_ups import mention, new_page, show, show_json, unknown
    from topo.plugin.load import load

    plugins = load(("topo_profiles",))
    mention(plugins.troubles)
    if not (len(words) == 1 and words[0] in plugins.profile_names()):
        words = tuple(word for given in words for word in given.split())  # several words in one pair of quotes
    found, status = _found(plugins, words)
    if words and not found and not (status and words[0] in plugins.profile_names()):
        raise unknown("profile", " ".join(words), plugins.profile_names(), "topo profiles")
    if as_json:
        show_json({"format": "topo.profiles.1", "profiles": [as_object(profile) for profile in found]})
    elif found or not words:
        page = new_page()
        if words and len(found) == 1:
            _tell(page, found[0])
        else:
            _list(page, found)
        show(page)
    ctx.exit(status)


@command.command(short_help="Write a profile of your own.")
@click.argument("name", required=False)
@click.option("--kind", type=click.Choice(["device", "hub", "computer"]), help="What it is a profile of.")
@click.option("--role", help="What a device does: imaging, guiding, mount, focuser, and so on.")
@click.option("--summary", help="What it is, in one line.")
@click.option("--source", help="Where the figures come from, such as 'data sheet, revision 2'.")
@click.option("--set", "sets", multiple=True, metavar="KEY=VALUE", help="A figure, such as width_px=1280; many times.")
@click.option("--socket", "sockets", multiple=True, metavar="NAME=SPEED",
              help="A computer's socket, such as usb3-1=super.")
@click.option("--from-scan", type=click.Path(), help="Take what a saved scan measured (with --device).")
@click.option("--device", help="Which device of the scan: its id there, as `topo live` shows it.")
@click.option("--no-questions", is_flag=True, help="Ask nothing: write what the options say.")
@click.option("--force", is_flag=True, help="Write over a profile of your own with that name.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.profiles-new.1) instead of text.")
def new(**options: Any) -> None:
    """Write a profile of your own, found at once by its NAME.

    Asks for each figure with its unit and bounds; an empty answer leaves it out, for what is not known is better left
    out than guessed. Nothing is written until the end, and then the whole file.
    """
    from topo.cli.profiles_new import write_new

    write_new(**options)


def _found(plugins: Plugins, words: tuple[str, ...]) -> tuple[list[Profile], int]:
    """The profiles asked for, and the exit status: files that cannot be read are told and passed over."""
    if len(words) == 1 and words[0] in plugins.profile_names():
        names: Iterable[str] = words
    else:
        names = plugins.profile_names()
    profiles, status = [], 0
    for name in names:
        try:
            profile = plugins.profile(name)
        except TopoError as error:
            click.echo(str(error), err=True)
            status = max(status, 2 if isinstance(error, RigFileError) else error.exit_status)
            continue
        if profile is not None and (name in words or all(_holds(_text(profile), word) for word in words)):
            profiles.append(profile)
    return profiles, status


def _holds(text: str, word: str) -> bool:
    """Whether a word stands in a text, hyphens or not: `7-port` is `7port`."""
    word = word.lower()
    bare = word.replace("-", "").replace("_", "")
    return word in text or (bool(bare) and bare in text.replace("-", "").replace("_", ""))


def _text(profile: Profile) -> str:
    return " ".join((profile.name, profile.kind, profile.role, profile.summary)).lower()


def _list(page: Page, profiles: list[Profile]) -> None:
    """The profiles by what they are for: computers, hubs, then devices by role. Names stay in their order."""
    from topo.report.page import Column

    groups: dict[str, list[tuple[str, str, str]]] = {heading: [] for heading in ("computer", "hub", *ROLES)}
    for profile in profiles:
        rows = groups[profile.role if profile.kind == "device" else profile.kind]
        rows.append((profile.name, profile.summary, _brought_by(profile)))
    for heading, rows in groups.items():
        if rows:
            page.blank()
            page.hang(heading, 0)
            from_others = any(who for _, _, who in rows)
            columns = (Column("", most=40), Column(""), Column(""))[: 3 if from_others else 2]
            page.table(columns, [row[: len(columns)] for row in rows])


def _brought_by(profile: Profile) -> str:
    """Who supplies a profile, by a short name; empty for what ships."""
    plugin, _, distribution = profile.supplied_by.partition(" (")
    return "" if distribution.startswith("topo-rig ") else plugin


def _tell(page: Page, profile: Profile) -> None:
    from topo.model.cautions import SHORT
    from topo.report.page import Column

    page.say(profile.name, "profile", text_style="strong")
    page.say(profile.summary, "what")
    page.say(f"{profile.kind}, {profile.role}" if profile.kind == "device" else profile.kind, "kind")
    page.say(profile.supplied_by, "from")
    columns = (Column("figure"), Column("value", right=True), Column("basis"), Column("source"))
    for rows, prefix in ((_facts(profile), ""), (_rows(known(profile.serial)), "serial ")):
        if rows:
            page.blank()
            page.table(columns, [
                (f"{prefix}{row['name']}", f"{_words(row['value'])} {row['unit']}".strip(), row["basis"], row["source"])
                for row in rows
            ], indent=0)
    if profile.sockets:
        page.blank()
        page.table(
            (Column("socket"), Column("speed"), Column("controller"), Column("480 Mb/s bus"), Column("basis")),
            [(s.name, s.speed.word if s.kind == "usb" else "serial", s.controller or "not known",
              s.usb2_bus or "not known", s.basis) for s in profile.sockets], indent=0,
        )
    if any(name.startswith(("volts", "amps")) for name, _ in known(profile.facts)):
        page.blank()
        page.hang(SHORT, 0)


def _words(value: Any) -> str:
    from topo.model.figures import number

    if isinstance(value, bool):
        return "yes" if value else "no"
    return number(value, 6) if isinstance(value, int | float) else str(value)


def _facts(profile: Profile) -> list[dict[str, Any]]:
    """The hardware facts, then what the controllers of a computer hang on."""
    uplinks = ((f"uplink:{each.name}", each.uplink) for each in profile.controllers if each.uplink is not None)
    return _rows((*known(profile.facts), *uplinks))


def _rows(facts: Iterable[tuple[str, Fact[Any]]]) -> list[dict[str, Any]]:
    from topo.plugin.questions import unit_of

    return [
        {"name": name, "value": fact.value, "unit": unit_of(name), "basis": fact.basis, "source": fact.source}
        for name, fact in facts
    ]


def as_object(profile: Profile) -> dict[str, Any]:
    """A profile for JSON."""
    return {
        "name": profile.name, "kind": profile.kind, "role": profile.role, "summary": profile.summary,
        "supplied_by": profile.supplied_by, "facts": _facts(profile),
        "serial": _rows(known(profile.serial)),
        "sockets": [
            {"name": s.name, "kind": s.kind, "speed": s.speed.word, "controller": s.controller, "usb2_bus": s.usb2_bus,
             "basis": s.basis} for s in profile.sockets
        ],
    }
