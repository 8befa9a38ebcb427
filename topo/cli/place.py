"""`topo place`: where a new device goes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from topo.cli.place_alike import alike
from topo.cli.show import width_option
from topo.cli.unchecked import finish
from topo.model.rig import ROLES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from topo.model.rig import Part, Rig
    from topo.place.options import Option, Placement


@click.command()
@click.argument("rig", type=click.Path())
@click.argument("profile")
@click.option("--name", help="Name of the new part; the profile's, unless given.")
@click.option("--role", type=click.Choice(ROLES), metavar="ROLE",
              help="What it does tonight; the profile's, unless given.")
@click.option("--exposure-s", type=click.FloatRange(min=0, min_open=True), help="Its exposure, for a camera.")
@click.option("--gap-s", type=click.FloatRange(min=0), help="Its pause between frames, for a camera.")
@click.option("--use", metavar="KEY=VALUE,...", help="What it does tonight, as under `use:`: mode=video,fps=60.")
@click.option("--cable-m", type=click.FloatRange(min=0, min_open=True), help="Length of the cable at hand, metres.")
@click.option("--near", metavar="PART", help="The part it will sit beside; tells which sockets the cable can reach.")
@click.option("-o", "--output", type=click.Path(dir_okay=False), metavar="FILE",
              help="Draw the sockets with their ranks: .svg .png .pdf")
@click.option("--write", is_flag=True, help="Add it to the rig file at the best socket.")
@click.option("--at", metavar="PART/SOCKET", help="With --write: this socket instead of the best.")
@width_option
@click.option("--json", "json_", is_flag=True, help="One JSON object.")
def command(
    rig: str,
    profile: str,
    name: str | None,
    role: str | None,
    exposure_s: float | None,
    gap_s: float | None,
    use: str | None,
    cable_m: float | None,
    near: str | None,
    write: bool,
    at: str | None,
    output: str | None,
    json_: bool,
) -> None:
    """Try PROFILE in every free socket of RIG and rank the sockets by what each does to the whole rig.

    Ranked by: faults, risks, SuperSpeed sockets taken without need, lost frames, delay of guide frames, downloads, the
    busiest link, notes, hubs in a row; then by reach and the order of the file. Sockets in another place, past a leg of
    5 m or more, come last. Hubs to buy come by what would have to move onto them: cameras that image or guide last.
    Exit status 1 where no free socket takes it.
    """
    from topo.cli.planning import examiner
    from topo.pipeline import new_part, rig_of
    from topo.place.options import place
    from topo.rigfile.read import read

    rigfile = read(rig)
    whole = rig_of(rigfile)
    body = _body(profile, role, {"exposure_s": exposure_s, "gap_s": gap_s, **_said(use)}, cable_m)
    part = new_part(rigfile, name or profile, body)
    placement = place(whole, part, examiner(), cable_m, near)
    if json_:
        _print_json(placement)
    else:
        _print(placement)
        _print_backs(whole, placement)
    if output is not None:
        _draw_backs(whole, placement, output)
    if write:
        _write(rigfile, part, placement, body, at)
    finish(0 if any(option.buy is None for option in placement.options) else 1)


def _said(use: str | None) -> dict[str, str]:
    """What --use says. Raises CommandError for what is no KEY=VALUE; the keys are judged with the entry."""
    from topo.errors import CommandError
    from topo.model.plain import plain

    said = {}
    for piece in (use or "").split(",") if use else ():
        key, equals, value = piece.partition("=")
        if not equals or not key.strip() or not value.strip():
            raise CommandError(f"--use takes KEY=VALUE, with commas between; '{plain(piece)}' is none")
        said[key.strip()] = value.strip()
    return said


def _body(profile: str, role: str | None, said: Mapping[str, Any], cable_m: float | None) -> dict[str, Any]:
    """The entry as it will stand in the file, without its plug."""
    use = {key: value for key, value in said.items() if value is not None}
    body: dict[str, Any] = {"profile": profile}
    if role is not None:
        body["role"] = role
    if cable_m is not None:
        body["cable"] = {"length_m": cable_m}
    if use:
        body["use"] = use
    return body


def _print(placement: Placement) -> None:
    from topo.cli.planning import consequence_words
    from topo.cli.show import paragraph
    from topo.model.plain import plain
    from topo.place.options import behind

    paragraph(f"Where {plain(placement.part.id)} goes. Now: {consequence_words(placement.before)}.")
    click.echo()
    if not any(option.is_at_hand for option in placement.options):
        paragraph(
            ("The free sockets are in another place." if any(option.buy is None for option in placement.options)
             else "No free socket takes it as the rig stands.")
            + (" This would help, best first:" if placement.options else " No hub or cable that could be bought helps.")
        )
        click.echo()
    everywhere = placement.everywhere
    if everywhere:
        paragraph(f"Wherever it goes: {'; '.join(everywhere)}.")
        click.echo()
    above = None
    for number, option in enumerate(placement.options, 1):
        own = "; ".join(piece for piece in option.why if piece not in everywhere)
        if above is not None and above.why == option.why:
            own += f"; {behind(option, above)}" if own else behind(option, above)
        above = option
        more = f" (and {option.alike} more like it)" if option.alike else ""
        needs = f", needs {option.buy}" if option.buy else ""
        paragraph(f"{plain(option.plug)}{more}{needs}{f': {own}' if own else ''}.", "    ", f"{number:2}. ")
    if placement.ruled_out:
        click.echo("\nRuled out:")
        for plug, reason in placement.ruled_out:
            paragraph(f"{plain(plug)}: {reason}", "    ", "  - ")


def _print_backs(rig: Rig, placement: Placement) -> None:
    """The sockets beside each other, with their ranks."""
    import sys

    from topo.cli.place_back import backs
    from topo.cli.show import width
    from topo.draw.back import back_lines
    from topo.report.lines import safe
    from topo.report.print import encoding_of

    if any(option.buy is None for option in placement.options):
        click.echo("\nThe sockets, with the ranks above:")
        for line in back_lines(backs(rig, placement), width()):
            click.echo(safe(line, encoding_of(sys.stdout)))


def _draw_backs(rig: Rig, placement: Placement, output: str) -> None:
    """Writes the sockets with their ranks as a picture."""
    from pathlib import Path

    from topo.cli.place_back import backs
    from topo.disk.whole import write_whole
    from topo.draw.back import back_sheet
    from topo.draw.renderers import SHEETS, render_sheet
    from topo.errors import CommandError
    from topo.model.plain import plain

    if (suffix := Path(output).suffix.lower()) not in SHEETS:
        raise CommandError(f"the sockets are drawn to {', '.join(SHEETS)}")
    title = f"Where {plain(placement.part.id)} goes: 1 is best"
    write_whole(output, render_sheet(back_sheet(backs(rig, placement), title), suffix))


def _print_json(placement: Placement) -> None:
    from topo.cli.planning import consequence_json, finding_json
    from topo.cli.show import as_json

    as_json(
        "topo.place.1",
        {
            "part": placement.part.id,
            "before": consequence_json(placement.before),
            "options": [
                {
                    "plug": option.plug,
                    "alike": option.alike,
                    "consequence": consequence_json(option.consequence),
                    "why": "; ".join(option.why),
                    "buy": option.buy,
                    "reach": {
                        "verdict": option.reach.verdict,
                        "least_m": option.reach.least_m,
                        "most_m": option.reach.most_m,
                    },
                    "findings": [finding_json(finding) for finding in option.findings],
                }
                for option in placement.options
            ],
            "ruled_out": [{"plug": plug, "reason": reason} for plug, reason in placement.ruled_out],
        },
    )


def _write(rigfile: Any, part: Part, placement: Placement, body: dict[str, Any], at: str | None) -> None:
    from topo.errors import CommandError
    from topo.model.plain import plain
    from topo.rigfile.edit import add_part, write

    ready = [option for option in placement.options if option.buy is None]
    at_hand = [option for option in ready if option.is_at_hand]
    if ready and not at_hand and at is None:
        raise CommandError(
            "nothing was written: the free sockets are in another place; say which by --at, or where it is by --near"
        )
    chosen: Option | None = at_hand[0] if ready and at is None else next((o for o in ready if o.plug == at), None)
    if chosen is None and at is not None:
        chosen = alike(placement, at)
    if chosen is None:
        wanted = f"{plain(at)} is not among the free sockets above" if at else "no free socket takes it"
        raise CommandError(f"nothing was written: {wanted}")
    plug = at or chosen.plug
    section = "hubs" if part.kind == "hub" else "devices"
    write(rigfile.path, add_part(rigfile, section, part.id, {**body, "plug": plug}), rigfile.text)
    click.echo(f"added {plain(part.id)} at {plain(plug)} to {plain(rigfile.path)}", err=True)
