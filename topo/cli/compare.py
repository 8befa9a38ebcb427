"""`topo compare`: the rig file held against what is plugged in, or against a saved scan."""

from __future__ import annotations

import click

from topo.cli.check import FAIL_ON, status_of


@click.command(short_help="Hold the rig file against what is plugged in.")
@click.argument("rig", type=click.Path(path_type=str))
@click.argument("scan", type=click.Path(path_type=str), required=False)
@click.option("--scanner", "name", metavar="NAME", help="Scan with this scanner; `topo plugins` lists them.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.compare.1) instead of text.")
@click.option("--fail-on", type=click.Choice(FAIL_ON), default="fault", show_default=True,
              help="The mildest finding that makes the exit status 1.")
@click.option("--width", type=click.IntRange(40, 500), metavar="N",
              help="Cells of a line of text. [default: the terminal, at most 120; 80 elsewhere]")
@click.pass_context
def command(
    ctx: click.Context, rig: str, scan: str | None, name: str | None, as_json: bool, fail_on: str, width: int | None
) -> None:
    """Hold the rig in the file RIG against what is plugged in now, or against the file SCAN.

    SCAN is what `topo live --save` kept, or a listing that a system printed (see `topo live`). Without it this machine
    is scanned; that opens no device and sends nothing. Tells what is missing, what is not in the file, what was moved,
    and what runs slower than it could, with the first slow element named.

    Exit status: 0 nothing at or above --fail-on; 1 findings; 2 the rig file or the command is wrong; 3 the scan failed,
    or a plugin, so that something was left unchecked; 4 a defect of topo.
    """
    from topo.cli.live import scan_of
    from topo.pipeline import compare_study, study_file

    if scan is not None and name is not None:
        raise click.UsageError("SCAN is a file and --scanner scans: use one of them.")
    study = study_file(rig)
    compared = compare_study(study, scan_of(scan, name))
    if as_json:
        import json

        from topo.report.compared_json import comparison_json

        click.echo(json.dumps(comparison_json(compared), indent=2, allow_nan=False))
    else:
        import sys

        from topo.report.compared import comparison_lines
        from topo.report.print import encoding_of, print_lines, width_of

        print_lines(comparison_lines(compared, width or width_of(sys.stdout), encoding_of(sys.stdout)))
    ctx.exit(status_of(compared.report, fail_on))

