"""`topo report`: one self-contained page of a rig, to keep or to send."""

from __future__ import annotations

import click


@click.command()
@click.argument("rig", type=click.Path())
@click.option("-o", "--output", type=click.Path(dir_okay=False), required=True, metavar="FILE.html",
              help="The page to write.")
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
def command(rig: str, output: str, as_json: bool) -> None:
    """Write one page about RIG with its picture, findings and tables. It holds names as the file has them.

    To show a rig to strangers use `topo pack`, which takes out what is private.
    """
    from topo.disk.whole import write_whole
    from topo.draw.page import render_page
    from topo.model.plain import plain
    from topo.pipeline import check_file

    report = check_file(rig)
    page = render_page(report.study, report.findings, (*report.assumptions, *report.troubles))
    write_whole(output, page)
    for trouble in report.troubles:
        click.echo(f"topo: {trouble}", err=True)
    if as_json:
        import json

        made = {"format": "topo.report.1", "verdict": report.verdict, "findings": len(report.findings),
                "bytes": len(page)}
        click.echo(json.dumps(made, indent=2))
    else:
        click.echo(f"{plain(output)}: {len(report.findings)} findings, {len(page) / 1000:.0f} kB")
