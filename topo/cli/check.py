"""`topo check`: the main job. From a rig file to what a person can act on; the exit status says how bad it is."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from topo.cli.times import evidence_options, times_of
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.answers import DeclaredTimes
    from topo.report.compared import ComparisonReport
    from topo.report.compose import Report

FAIL_ON = ("fault", "risk", "note", "never")
"""Words of --fail-on; each fails on itself and on those before it."""


@click.command(short_help="Check a rig file: loads, delays, findings.")
@click.argument("rig", type=click.Path(path_type=str))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.check.1) instead of text.")
@click.option("--all", "whole", is_flag=True,
              help="Tell each finding by itself, with tables of guiding, cameras, links, devices, volts and guesses.")
@click.option("--fail-on", type=click.Choice(FAIL_ON), default="fault", show_default=True,
              help="The mildest finding that makes the exit status 1.")
@click.option("--width", type=click.IntRange(40, 500), metavar="N",
              help="Cells of a line of text. [default: the terminal, at most 120; 80 elsewhere]")
@click.option("--live", is_flag=True, help="Look at what is plugged in now and compute with what is measured there.")
@click.option("--scan", metavar="FILE", type=click.Path(path_type=str),
              help="The same with a saved scan (`topo live --save`), or the kernel's usb/devices text.")
@evidence_options("What a log, capture or table of a night says, told along")
@click.pass_context
def command(
    ctx: click.Context, rig: str, as_json: bool, whole: bool, fail_on: str, width: int | None, live: bool,
    scan: str | None, evidence: tuple[str, ...], columns: tuple[str, ...], offsets: tuple[str, ...], zone: float | None,
) -> None:
    """Check the rig in the file RIG: what each shared link carries, how late guide frames come, and what to do.

    With --live or --scan, speeds, translators and places that were measured stand in for those of the file, and what
    `topo compare` finds is told along. Looking opens no device and sends nothing. --column, --offset and --zone are
    those of `topo evidence`, for files of --evidence.

    Exit status: 0 nothing at or above --fail-on; 1 findings; 2 the file or the command is wrong; 3 a scan or a plugin
    failed, so that something was left unchecked; 4 a defect of topo.
    """
    if live and scan is not None:
        raise click.UsageError("--live looks at this machine and --scan at a file: use one of them.")
    if evidence and (live or scan is not None):
        raise click.UsageError("--evidence is of a night that is over: use it without --live and --scan.")
    asked = evidence or columns or offsets or zone is not None
    times = times_of(evidence, columns, offsets, zone) if asked else None
    unread: list[str] = []
    if live or scan is not None:
        compared = _checked_live(rig, scan)
        if not as_json:
            _print_live(compared, width, whole)
            ctx.exit(status_of(compared.report, fail_on))
        report = compared.report
    elif times is not None:
        report, unread = _with_evidence(rig, evidence, times)
    else:
        from topo.pipeline import check_file

        report = check_file(rig)
    if as_json:
        import json

        from topo.report.asjson import report_json

        click.echo(json.dumps(report_json(report), indent=2, allow_nan=False))
    else:
        from topo.report.print import print_report

        print_report(report, width, whole=whole)
    ctx.exit(status_of(report, fail_on) or (3 if unread else 0))


def _with_evidence(rig: str, files: tuple[str, ...], declared: DeclaredTimes) -> tuple[Report, list[str]]:
    """The report with what the files say told along, and which of them could not be read, which is told here."""
    from topo.pipeline import check_evidence, study_file

    report, held = check_evidence(study_file(rig), files, declared)
    unread = [f"{plain(file.name)}: {plain(file.problem, 300)}" for file in held.answers.files if file.problem]
    for text in unread:
        click.echo(f"topo: not read: {text}", err=True)
    return report, unread


def _checked_live(rig: str, path: str | None) -> ComparisonReport:
    from topo.cli.live import scan_of
    from topo.pipeline import check_study_live, study_file

    study = study_file(rig)
    return check_study_live(study, scan_of(path, None))


def _print_live(compared: ComparisonReport, width: int | None, whole: bool) -> None:
    from topo.report.compared import live_report_lines
    from topo.report.print import encoding_of, print_lines, width_of

    print_lines(live_report_lines(compared, width or width_of(sys.stdout), encoding_of(sys.stdout), whole))


def status_of(report: Report, fail_on: str) -> int:
    """0, 1 or 3. Findings that fail come before plugins that failed: the answer is then known to be bad."""
    failing = () if fail_on == "never" else FAIL_ON[: FAIL_ON.index(fail_on) + 1]
    if any(finding.severity in failing for finding in report.findings):
        return 1
    return 3 if report.troubles else 0
