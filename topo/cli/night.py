"""`topo night`: the planned night, simulated; what it brings in words, and pictures of it."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from topo.cli.unchecked import finish, note

ENDINGS = ("png", "svg", "pdf")


@click.command(short_help="What tonight brings, simulated many times.")
@click.argument("rig", type=click.Path(path_type=str))
@click.option("--nights", type=click.IntRange(3, 1000), default=30, show_default=True, metavar="N",
              help="Nights simulated for each of two ways of sharing.")
@click.option("--seed", type=click.IntRange(0, 2**31), default=0, show_default=True, metavar="S",
              help="Another seed, other phases. The same seed gives the same answer.")
@click.option("-o", "--output", type=click.Path(dir_okay=False, path_type=str), metavar="FILE",
              help="Pictures of the night as .png, .svg or .pdf (needs matplotlib).")
@click.option("--dark", is_flag=True, help="A .png or .pdf on a dark ground. An .svg follows the viewer by itself.")
@click.option("--width", type=click.IntRange(40, 500), metavar="N",
              help="Cells of a line of text. [default: the terminal, at most 120; 80 elsewhere]")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.night.1) instead of text.")
def command(rig: str, nights: int, seed: int, output: str | None, dark: bool, width: int | None, as_json: bool) -> None:
    """Simulate the planned night of RIG many times: exposures, downloads, guide frames, dithers, focus runs, copying.

    Says how much wider the stars get while a shutter is open, how late guide frames come, what is lost, and how long
    downloads keep shutters closed: for the middle picture or night, the one that 95 of 100 stay below, and the worst.
    """
    from topo.errors import CommandError
    from topo.model.plain import plain
    from topo.pipeline import night_of

    ending = Path(output).suffix.lower().lstrip(".") if output is not None else ""
    if output is not None and ending not in ENDINGS:
        raise CommandError(f"pictures of a night are .png, .svg or .pdf files, not '{plain(output)}'")
    told = night_of(rig, nights, seed)
    if output is not None:
        from topo.disk.whole import write_whole
        from topo.draw.night_picture import night_picture

        write_whole(output, night_picture(told, ending, dark))
    note(told.troubles)
    if as_json:
        import json

        from topo.report.tonight_json import tonight_json

        click.echo(json.dumps(tonight_json(told), indent=2, allow_nan=False))
    else:
        from topo.report.print import encoding_of, print_lines, width_of
        from topo.report.tonight import tonight_lines

        print_lines(tonight_lines(told, width or width_of(sys.stdout), encoding_of(sys.stdout)))
    finish()
