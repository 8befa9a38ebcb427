"""`topo live`: what is plugged in now, without touching it; keep it, replay it, or begin a rig file from it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from topo.cli.show import width_option

if TYPE_CHECKING:
    from topo.model.scanner import Scanner
    from topo.model.sighting import Scan


@click.command(short_help="Show what is plugged in now, without touching it.")
@click.option("--save", type=click.Path(dir_okay=False), metavar="FILE", help="Keep the scan as JSON (topo.scan.1).")
@click.option("--draft", type=click.Path(dir_okay=False), metavar="RIG", help="Write a first rig file; never over one.")
@click.option("--from", "replay", type=click.Path(dir_okay=False), metavar="FILE",
              help="Read a saved scan, or a listing that a system printed, instead of scanning.")
@click.option("--ask", is_flag=True, help="Print which command shows what is plugged in, for each system, and end.")
@click.option("--scanner", "name", metavar="NAME", help="Scan with this scanner; `topo plugins` lists them.")
@width_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.live.1) instead of text.")
def command(
    save: str | None, draft: str | None, replay: str | None, ask: bool, name: str | None, as_json: bool
) -> None:
    """Show what is plugged in now: speeds, hubs with both sides, what could be faster, what sleeps, over-current.

    A scan opens no device and sends nothing. FILE may be what `topo live --save` kept, or what somebody posted: a
    listing of macOS, Windows or Linux, told apart by its content; it says what it cannot know.

    Exit status: 0 done; 2 the command is wrong; 3 the scan failed.
    """
    if ask:
        from topo.live.listings.ask import ask_lines

        for line in ask_lines():
            click.echo(line)
        return
    if replay is not None and name is not None:
        raise click.UsageError("--from replays a file and --scanner scans: use one of them.")
    if draft is not None:
        _refuse_existing(draft)
    scan = scan_of(replay, name)
    if save is not None:
        from topo.live.store import save as write

        write(scan, save)
        click.echo(f"the scan is in {_shown(save)}", err=True)
    if draft is not None:
        from topo.disk.whole import write_new
        from topo.live.draft import draft as begun

        write_new(draft, begun(scan).encode())
        click.echo(f"a first rig file is in {_shown(draft)}; name its parts", err=True)
    if as_json:
        _print_json(scan)
    elif save is None and draft is None:
        from topo.cli.show import width
        from topo.live.tree import tree_lines

        for line in tree_lines(scan, width()):
            _echo(line)


def scan_of(replay: str | None, name: str | None) -> Scan:
    """The scan of a file, or of what is plugged in now. Raises ScanError."""
    if replay is not None:
        from topo.live.recording import recording

        return recording(replay).scan()
    return scanner_named(name).scan()


def scanner_named(name: str | None) -> Scanner:
    """The scanner of that name among all that plugins supply, or the one for this system. Raises ScanError."""
    from topo.live.scanners import choose
    from topo.plugin.load import loaded

    return choose(loaded(("topo_scanners",)).scanners, name)


def _refuse_existing(path: str) -> None:
    from pathlib import Path

    if Path(path).exists():
        raise click.UsageError(f"{_shown(path)} is there already; a draft is never written over a file.")


def _shown(path: str) -> str:
    from topo.model.plain import plain

    return plain(path, 400)


def _print_json(scan: Scan) -> None:
    import json

    from topo.live.store import plain_of
    from topo.wiring.joined import joined

    boxes = [{"kind": each.kind, "members": list(each.members), "joined_by": each.joined_by} for each in joined(scan)]
    click.echo(json.dumps({"format": "topo.live.1", "scan": plain_of(scan), "boxes": boxes}, indent=2))


def _echo(line: str) -> None:
    """Prints a line; what the terminal's encoding lacks is escaped, never an error."""
    import sys

    encoding = sys.stdout.encoding or "ascii"
    click.echo(line.encode(encoding, "backslashreplace").decode(encoding))
