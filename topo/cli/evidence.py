"""`topo evidence`: what last night's logs, captures and tables say, held against the rig, and what they refute."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from topo.cli.check import FAIL_ON, status_of
from topo.cli.times import declared_times, times_options

if TYPE_CHECKING:
    from topo.model.answers import DeclaredTimes
    from topo.report.evidence import EvidenceReport


@click.command(short_help="What last night's logs say, and what they rule out.")
@click.argument("files", nargs=-1, required=True, metavar="[RIG] FILE...", type=click.Path(path_type=str))
@times_options
@click.option("--write-facts", is_flag=True, help="Write what was measured into the rig file, keeping the rest of it.")
@click.option("-o", "--output", metavar="FILE", type=click.Path(dir_okay=False),
              help="A timeline as .png, .svg or .html.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.evidence.1) instead of text.")
@click.option("--fail-on", type=click.Choice(FAIL_ON), default="fault", show_default=True,
              help="The mildest finding that makes the exit status 1.")
@click.option("--width", type=click.IntRange(40, 500), metavar="N",
              help="Cells of a line of text. [default: the terminal, at most 120; 80 elsewhere]")
@click.pass_context
def command(
    ctx: click.Context, files: tuple[str, ...], columns: tuple[str, ...], offsets: tuple[str, ...],
    zone: float | None, write_facts: bool, output: str | None, as_json: bool, fail_on: str, width: int | None,
) -> None:
    """Read the FILEs of a night together and say what they show, against the rig in the file RIG if one is named.

    FILE is a kernel log in any form, a USB capture (pcap, pcapng), a folder of FITS files, a table of frames, guiding
    or actions (CSV), a log of `topo watch`, or a saved scan; packed or not. What it is, its content tells.

    Exit status: 0 nothing at or above --fail-on; 1 findings; 2 the rig file or the command is wrong; 3 a file or a
    plugin failed, so that something was left out; 4 a defect of topo.
    """
    rig, evidence = rig_and_files(files)
    declared = declared_times(columns, offsets, zone)
    report = _read(rig, evidence, declared)
    if write_facts:
        _write_facts(rig, report)
    if output is not None:
        _draw(output, report)
    if as_json:
        import json

        from topo.report.evidence_json import evidence_json

        click.echo(json.dumps(evidence_json(report), indent=2, allow_nan=False))
    else:
        from topo.report.evidence import evidence_lines
        from topo.report.print import encoding_of, print_lines, width_of

        print_lines(evidence_lines(report, width or width_of(sys.stdout), encoding_of(sys.stdout)))
    status = status_of(report.report, fail_on) if report.report is not None else 0
    unread = any(file.problem for file in report.answers.files) or report.troubles
    ctx.exit(status or (3 if unread else 0))


def rig_and_files(files: Sequence[str]) -> tuple[str | None, tuple[str, ...]]:
    """The rig file, where the first name is one, and the files of evidence. Raises CommandError where none is left."""
    from topo.errors import CommandError

    is_rig = files[0].lower().endswith((".yaml", ".yml"))
    if is_rig and len(files) == 1:
        raise CommandError("a rig file alone says nothing of a night: name the logs after it")
    return (files[0], tuple(files[1:])) if is_rig else (None, tuple(files))


def _read(rig: str | None, files: tuple[str, ...], declared: DeclaredTimes) -> EvidenceReport:
    from topo.pipeline import evidence_of, evidence_study, study_file

    return evidence_of(files, declared) if rig is None else evidence_study(study_file(rig), files, declared)


def _write_facts(rig: str | None, report: EvidenceReport) -> None:
    from topo.errors import CommandError
    from topo.model.plain import plain
    from topo.report.evidence import facts_to_write
    from topo.rigfile.edit import set_scalar
    from topo.rigfile.measured import note_of
    from topo.rigfile.read import read, read_text
    from topo.rigfile.write import write

    if rig is None:
        raise CommandError("--write-facts needs a rig file to write to")
    first = rigfile = read(rig)
    facts = facts_to_write(report.answers)
    for fact in facts:
        rigfile = read_text(set_scalar(rigfile, ("devices", fact.part, *fact.key.split(".")), fact.value), first.path)
        click.echo(f"topo: {plain(fact.part)}: {fact.key} is {fact.value:g}, {plain(fact.source)}", err=True)
    for fact in facts:
        note = note_of(fact.value, fact.source)
        rigfile = read_text(set_scalar(rigfile, ("devices", fact.part, "measured", fact.key), note), first.path)
    if facts:
        write(first.path, rigfile.text, was=first.text)
    else:
        click.echo("topo: nothing was measured that the rig file has a key for; a capture of its cameras tells more",
                   err=True)


def _draw(output: str, report: EvidenceReport) -> None:
    from topo.disk.whole import write_whole
    from topo.draw.timeline import timeline
    from topo.errors import CommandError

    ending = output.lower().rpartition(".")[2]
    if ending not in ("png", "svg", "html"):
        raise CommandError("a timeline is a .png, .svg or .html file")
    write_whole(output, timeline(report.answers, ending))
