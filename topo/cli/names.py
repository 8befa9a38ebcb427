"""`topo names`: which port is whose now, the name that lasts and why, and which camera each program would take."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from topo.model.comparison import Comparison

RULE_FOLDERS = ("/etc/udev", "/run/udev", "/lib/udev", "/usr/lib/udev", "/usr/local/lib/udev")


@click.command(short_help="Which port is whose, and the name that lasts.")
@click.argument("rig", type=click.Path(path_type=str))
@click.argument("scan", type=click.Path(path_type=str), required=False)
@click.option("-o", "--output", type=click.Path(dir_okay=False), metavar="FILE.rules",
              help="Write udev rules that give each port a name, and labels for sockets; nothing is installed.")
@click.option("--scanner", "name", metavar="NAME", help="Scan with this scanner; `topo plugins` lists them.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.names.1) instead of text.")
@click.option("--width", type=click.IntRange(40, 500), metavar="N",
              help="Cells of a line of text. [default: the terminal, at most 120; 80 elsewhere]")
def command(
    rig: str, scan: str | None, output: str | None, name: str | None, as_json: bool, width: int | None
) -> None:
    """Show which serial port each part of RIG has now, the name to choose in its program, and why that lasts or not.

    SCAN is what `topo live --save` kept; without it this machine is scanned, which opens no device and sends nothing.
    A name by serial number lasts in any socket, one by place while the plug stays there, a number not at all. For
    cameras it shows which one each program would take, where the file says how it picks (`picks`).

    Exit status: 0 done; 2 the rig file or the command is wrong; 3 the scan failed, or a plugin.
    """
    from topo.cli.live import scan_of
    from topo.cli.unchecked import finish, note
    from topo.compare.names import rig_names
    from topo.pipeline import compare_scan, study_file
    from topo.report.print import encoding_of, print_lines, width_of

    if scan is not None and name is not None:
        raise click.UsageError("SCAN is a file and --scanner scans: use one of them.")
    if output is not None:
        _refuse_installing(output)
    comparison, findings, troubles = compare_scan(study_file(rig), scan_of(scan, name))
    note(troubles)
    names = rig_names(comparison)
    if output is not None:
        _write(comparison, output)
    if as_json:
        import json

        from topo.report.names_json import names_json

        click.echo(json.dumps(names_json(comparison, names, findings), indent=2, allow_nan=False))
    elif output is None:
        import sys

        from topo.report.names import names_lines

        encoding = encoding_of(sys.stdout)
        print_lines(names_lines(comparison, names, findings, width or width_of(sys.stdout), encoding))
    finish()


def _refuse_installing(path: str) -> None:
    from pathlib import Path

    folder = str(Path(path).resolve().parent)
    if any(folder == known or folder.startswith(f"{known}/") for known in RULE_FOLDERS):
        raise click.UsageError(f"{_shown(folder)} is where the system reads rules: topo installs none. Write the file "
                               "elsewhere, read it, and copy it there yourself.")


def _write(comparison: Comparison, output: str) -> None:
    from topo.compare.rules import rules_text
    from topo.disk.whole import write_whole
    from topo.errors import CommandError

    if comparison.scan.system.lower() != "linux":
        raise CommandError("udev rules are for Linux, and this scan is of another system; leave out -o to see names")
    write_whole(output, rules_text(comparison).encode("ascii"))
    click.echo(f"the rules are in {_shown(output)}; nothing was installed: read its first lines", err=True)


def _shown(path: str) -> str:
    from topo.model.plain import plain

    return plain(path, 400)
