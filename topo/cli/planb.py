"""`topo planb`: what stops when a part fails, and what to do then; a sheet to print and keep with the rig."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from topo.cli.show import WIDTH, width, width_option
from topo.cli.unchecked import finish

if TYPE_CHECKING:
    from collections.abc import Sequence

    from topo.draw.sheet import Passage
    from topo.model.rig import Rig
    from topo.place.planb import Failure


@click.command()
@click.argument("rig", type=click.Path())
@click.option("-o", "--output", type=click.Path(), metavar="FILE.pdf|.txt", help="Write the sheet to print.")
@click.option("--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True, help="Its size.")
@click.option("--all", "everything", is_flag=True, help="List failures that stop neither imaging nor guiding as well.")
@width_option
@click.option("--json", "json_", is_flag=True, help="One JSON object.")
def command(rig: str, output: str | None, paper: str, everything: bool, json_: bool) -> None:
    """For each hub, cable, port, controller, supply and network link: what stops, and where its parts go meanwhile."""
    from topo.cli.planb_sheet import sheet
    from topo.cli.planning import examiner
    from topo.errors import CommandError
    from topo.pipeline import rig_of
    from topo.place.planb import plan_b
    from topo.rigfile.read import read

    if output is not None and not output.lower().endswith((".pdf", ".txt")):
        raise CommandError("the sheet is written as .pdf or .txt")
    whole = rig_of(read(rig))
    failures = plan_b(whole, examiner())
    if json_:
        _print_json(whole, failures)
    elif output is None:
        _print(sheet(whole, failures, everything, min(WIDTH, width())))
    if output is not None:
        _write(output, sheet(whole, failures, everything), f"Plan B of {whole.name}", paper)
    finish()


def _lines(blocks: Sequence[Passage]) -> list[str]:
    return [line.rstrip() for block in blocks for line in block.lines]


def _print(blocks: Sequence[Passage]) -> None:
    import sys

    from topo.report.lines import safe
    from topo.report.print import encoding_of

    for line in _lines(blocks):
        click.echo(safe(line, encoding_of(sys.stdout)))


def _write(path: str, blocks: Sequence[Passage], foot: str, paper: str) -> None:
    from topo.disk.whole import write_whole
    from topo.draw.sheet import pdf_of_blocks
    from topo.model.plain import plain

    if path.lower().endswith(".txt"):
        write_whole(path, ("\n".join(_lines(blocks)) + "\n").encode())
    else:
        write_whole(path, pdf_of_blocks(blocks, plain(foot), paper))
    click.echo(f"wrote {plain(path, 400)}", err=True)


def _print_json(rig: Rig, failures: tuple[Failure, ...]) -> None:
    from topo.cli.planning import finding_json
    from topo.cli.show import as_json
    from topo.place.spares import spare_words
    from topo.place.startlist import start_list

    as_json(
        "topo.planb.1",
        {
            "failures": [
                {
                    "kind": f.kind,
                    "name": f.name,
                    "stops": list(f.stops),
                    "night_loses": list(f.services),
                    "still_lost": list(f.still),
                    "single_point": f.single_point,
                    "have_ready": "" if f.spare is None else spare_words(f.spare),
                    "goes_on_with": list(f.then),
                    "brings": [finding_json(finding) for finding in f.brings],
                    "refuges": [
                        {"part": r.part, "plug": r.plug, "instead_of": r.instead_of, "why": r.why} for r in f.refuges
                    ],
                }
                for f in failures
            ],
            "start": [
                {"part": step.part, "at_s": step.at_s, "own_s": step.own_s, "waits_for": list(step.waits_for)}
                for step in start_list(rig)
            ],
        },
    )
