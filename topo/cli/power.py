"""`topo power`: volts and amps at every plug of the 12 V side and of USB, and the picture of it."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from topo.cli.check import FAIL_ON
from topo.cli.unchecked import finish

if TYPE_CHECKING:
    from topo.analysis.study import Study

ENDINGS = (".svg", ".png", ".pdf")


@click.command()
@click.argument("rig", type=click.Path())
@click.option("-o", "--output", type=click.Path(dir_okay=False), metavar="FILE",
              help="Draw volts along the leads: .svg, .png or .pdf.")
@click.option("--dark", is_flag=True, help="The picture on a dark ground, for screens at night.")
@click.option("--sheet", is_flag=True, help="A page to take to the rig: what to measure where, and what to expect.")
@click.option("--json", "json_", is_flag=True, help="One JSON object.")
@click.option("--fail-on", type=click.Choice(FAIL_ON), default="fault", show_default=True,
              help="The mildest finding that makes the exit status 1.")
@click.option("--width", type=click.IntRange(40, 500), metavar="N",
              help="Cells of a line of text. [default: the terminal, at most 120; 80 elsewhere]")
def command(
    rig: str, output: str | None, dark: bool, sheet: bool, json_: bool, fail_on: str, width: int | None
) -> None:
    """Volts and amps at every plug of RIG: supplies, leads, fuses, USB cables, batteries through the night.

    Each as low, likely and high; what cannot be judged is listed with the facts that are missing. The picture shows
    metres from the supply against volts, and the volts each part works at.

    Exit status: 0 nothing at or above --fail-on; 1 findings; 2 the rig file or the command is wrong; 3 a plugin failed;
    4 a defect of topo.
    """
    from topo.cli.planning import examiner
    from topo.errors import CommandError
    from topo.pipeline import study_file
    from topo.report.power import of_power

    if output is not None and not output.lower().endswith(ENDINGS):
        raise CommandError(f"the picture is written as {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}")
    if sheet and (json_ or output is not None):
        raise CommandError("--sheet is a page of its own: leave out --json and -o")
    study = study_file(rig)
    if sheet:
        _print_sheet(study, width)
        finish(0)
    findings = of_power(examiner()(study))
    if output is not None:
        _draw(study, output, dark)
    if json_:
        import json

        from topo.model.finding import in_order
        from topo.report.asjson import finding_object
        from topo.report.power_json import power_report_json

        click.echo(json.dumps(power_report_json(study, in_order(findings), finding_object), indent=2, allow_nan=False))
    elif output is None:
        from topo.report.power import power_lines
        from topo.report.print import encoding_of, print_lines, width_of

        print_lines(power_lines(study, findings, width or width_of(sys.stdout), encoding_of(sys.stdout)))
    failing = () if fail_on == "never" else FAIL_ON[: FAIL_ON.index(fail_on) + 1]
    finish(1 if any(finding.severity in failing for finding in findings) else 0)


def _print_sheet(study: Study, width: int | None) -> None:
    from topo.report.power_sheet import sheet_lines
    from topo.report.print import encoding_of, print_lines, width_of

    print_lines(sheet_lines(study, width or width_of(sys.stdout), encoding_of(sys.stdout)))


def _draw(study: Study, output: str, dark: bool) -> None:
    from topo.disk.whole import write_whole
    from topo.draw.volts import volts_picture
    from topo.model.plain import plain

    write_whole(output, volts_picture(study, output.rpartition(".")[2].lower(), dark))
    click.echo(f"wrote {plain(output, 400)}", err=True)
