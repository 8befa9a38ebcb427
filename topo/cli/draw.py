"""`topo draw`: the picture of a rig to a file, or the tree in the terminal."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from topo.cli.unchecked import finish, note

if TYPE_CHECKING:
    from topo.draw.scene import Scene
    from topo.model.renderer import Renderer


@click.command()
@click.argument("rig", type=click.Path())
@click.option("-o", "--output", type=click.Path(dir_okay=False), help="Write a picture: .svg .png .pdf .mmd .dot .txt")
@click.option("--width", type=click.IntRange(300, 4000), default=900, show_default=True,
              help="Pixels the picture is wide, at most.")
@click.option("--advice", is_flag=True, help="Draw before and after what to do first, in small.")
@click.option("--live", is_flag=True, help="Mark what differs from what is plugged in now.")
@click.option("--scan", type=click.Path(), metavar="FILE", help="Mark what differs from a saved scan.")
@click.option("--json", "as_json", is_flag=True, help="Print the scene as JSON.")
def command(
    rig: str, output: str | None, width: int, advice: bool, live: bool, scan: str | None, as_json: bool
) -> None:
    """Draw RIG: what is plugged into what, by which wire, how full, and where guiding meets imaging.

    With --live or --scan the figures are those measured, and what is missing, moved, slower or not in the file is
    marked. A scan opens no device and sends nothing.
    """
    if live and scan is not None:
        raise click.UsageError("--live scans and --scan reads a file: use one of them.")
    if advice:
        _draw_advice(rig, output, width, live or scan is not None or as_json)
        finish()
        return
    renderer = _renderer(output) if output else None
    scene, troubles = _compared(rig, scan, width) if live or scan is not None else _declared(rig, width)
    note(troubles)
    if renderer is not None and output is not None:
        _write(scene, renderer, output)
    if as_json:
        import json

        from topo.draw.scene import scene_json

        click.echo(json.dumps(scene_json(scene), indent=2, allow_nan=False))
    elif renderer is None:
        _print(scene)
    finish()


def _draw_advice(rig: str, output: str | None, width: int, more: bool) -> None:
    """Writes before and after to a file."""
    from topo.disk.whole import write_whole
    from topo.draw.renderers import SHEETS, render_sheet
    from topo.errors import CommandError
    from topo.pipeline import advice_sheet, check_file

    if output is None or more:
        raise click.UsageError("--advice draws a picture: name its file with -o, and no other option but --width.")
    if (suffix := Path(output).suffix.lower()) not in SHEETS:
        raise CommandError(f"before and after is drawn to {', '.join(SHEETS)}")
    report = check_file(rig)
    note(report.troubles)
    sheet = advice_sheet(report, width)
    if sheet is None:
        raise CommandError("nothing that was computed helps here, so nothing is drawn (`topo check` says why)")
    write_whole(output, render_sheet(sheet, suffix))


def _declared(rig: str, width: int) -> tuple[Scene, tuple[str, ...]]:
    from topo.draw.picture import picture
    from topo.pipeline import check_file

    report = check_file(rig)
    return picture(report.study, report.findings, width, report.first), report.troubles


def _compared(rig: str, scan: str | None, width: int) -> tuple[Scene, tuple[str, ...]]:
    """The scene with measured facts; `scan` is a saved scan, None for what is plugged in now."""
    from topo.cli.live import scan_of
    from topo.draw.compared import differences
    from topo.draw.overlay import overlaid
    from topo.draw.picture import picture
    from topo.pipeline import check_study_live, study_file

    study = study_file(rig)
    compared = check_study_live(study, scan_of(scan, None))
    scene = picture(compared.report.study, compared.report.findings, width, compared.report.first)
    return overlaid(scene, differences(compared.comparison)), compared.report.troubles


def _renderer(output: str) -> Renderer:
    """The renderer for a file's ending. Raises CommandError that lists the endings there are."""
    from topo.errors import CommandError
    from topo.model.plain import plain
    from topo.plugin.load import loaded

    known = loaded(("topo_renderers",)).renderers
    suffix = Path(output).suffix.lower()
    for renderer in known:
        if suffix in renderer.suffixes:
            return renderer
    endings = ", ".join(sorted(suffix for renderer in known for suffix in renderer.suffixes))
    raise CommandError(f"no renderer writes '{plain(suffix or output)}' files; there are {plain(endings)}")


def _write(scene: Scene, renderer: Renderer, output: str) -> None:
    from topo.disk.whole import write_whole
    from topo.errors import PluginError, TopoError
    from topo.model.plain import plain

    try:
        data = renderer.render(scene)
    except TopoError:
        raise
    except Exception as error:
        what = f"{type(error).__name__}: {plain(str(error))}"
        raise PluginError(f"renderer {plain(renderer.name)} failed: {what}") from error
    if not isinstance(data, bytes):
        raise PluginError(f"renderer {plain(renderer.name)} gave {type(data).__name__} and not bytes")
    write_whole(output, data)


def _print(scene: Scene) -> None:
    import sys

    from topo.draw.tree import tree_lines
    from topo.report.lines import Line, Style, safe
    from topo.report.print import encoding_of, print_lines, width_of

    encoding = encoding_of(sys.stdout)
    looks: dict[str, Style] = {"title": "strong", "name": "strong", "trouble": "risk"}
    lines: list[Line] = [
        tuple((safe(span.text, encoding), looks.get(span.style, "")) for span in line)
        for line in tree_lines(scene, width_of(sys.stdout), ascii_only=not encoding.startswith("utf"))
    ]
    print_lines(lines)
