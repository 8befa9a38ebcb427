"""`topo report`: one self-contained page of a rig, to keep or to send."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from topo.cli.times import evidence_options, times_of
from topo.cli.unchecked import finish, note, unchecked

if TYPE_CHECKING:
    from topo.model.answers import Answers


@click.command()
@click.argument("rig", type=click.Path())
@click.option("-o", "--output", type=click.Path(dir_okay=False), required=True, metavar="FILE.html",
              help="The page to write.")
@evidence_options("Logs, captures and tables of a night, told along")
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
def command(
    rig: str, output: str, evidence: tuple[str, ...], columns: tuple[str, ...], offsets: tuple[str, ...],
    zone: float | None, as_json: bool,
) -> None:
    """Write one page about RIG with its picture, findings and tables. It holds names as the file has them.

    To show a rig to strangers use `topo pack`, which takes out what is private.
    """
    from topo.cli.page_parts import failure_rows, searched, strip_and_choices
    from topo.disk.whole import write_whole
    from topo.draw.page import PageTold, render_page
    from topo.model.plain import plain
    from topo.pipeline import check_evidence, check_file, study_file
    from topo.report.power import not_judged_words
    from topo.report.tables import guiding_words
    from topo.report.text import first_words

    times = times_of(evidence, columns, offsets, zone)
    told: tuple[str, ...] = ()
    figure = ""
    if evidence:
        from topo.report.evidence import remarks

        report, held = check_evidence(study_file(rig), evidence, times)
        figure, why = _timeline(held.answers)
        told = (*remarks(held), *((why,) if why else ()))
    else:
        report = check_file(rig)
    found, reach = searched(report)
    night, choices = strip_and_choices(report, found)
    page = render_page(report.study, report.findings, PageTold(
        remarks=(*told, *report.assumptions, *report.troubles), first=first_words(report),
        guiding=guiding_words(report), night=night, timeline=figure, choices=choices, searched=reach,
        failures=failure_rows(report), unjudged=not_judged_words(report.study), plan=report.first,
    ))
    write_whole(output, page)
    note(report.troubles)
    if as_json:
        import json

        made = {"format": "topo.report.1", "verdict": report.verdict, "findings": len(report.findings),
                "bytes": len(page), "plugins_failed": unchecked()}
        click.echo(json.dumps(made, indent=2))
    else:
        from topo.cli.show import paragraph
        from topo.words.lists import counted

        paragraph(f"{plain(output)}: {counted(len(report.findings), 'finding')}, {len(page) / 1000:.0f} kB")
    finish()


def _timeline(answers: Answers) -> tuple[str, str]:
    """The timeline as an element of the page, or why there is none."""
    from topo.draw.timeline import timeline_figure
    from topo.errors import CommandError

    try:
        return timeline_figure(answers), ""
    except CommandError as error:
        return "", f"No timeline: {error}."
