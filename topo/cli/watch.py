"""`topo watch`: through the night, note what drops, comes back, changes speed or draws too much current."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from topo.cli.live import scanner_named

if TYPE_CHECKING:
    from topo.live.meanwhile import LastSeen
    from topo.model.watchnote import Note


@click.command(short_help="Note drops and changes through a night.")
@click.argument("rig", type=click.Path(path_type=str))
@click.option("--log", type=click.Path(dir_okay=False), metavar="FILE",
              help="Append notes here (topo.watch.1). [default: the rig's name with .watch.jsonl, in this folder]")
@click.option("--every", default=2.0, show_default=True, type=click.FloatRange(0.1, 3600), metavar="S",
              help="Seconds between looks.")
@click.option("--looks", type=click.IntRange(1), metavar="N", help="Stop after so many looks.")
@click.option("--scanner", "name", metavar="NAME", help="Scan with this scanner; `topo plugins` lists them.")
@click.option("--json", "as_json", is_flag=True, help="Print each note as a line of JSON instead of text.")
def command(rig: str, log: str | None, every: float, looks: int | None, name: str | None, as_json: bool) -> None:
    """Watch what is plugged in through a night, with the names of the rig file RIG, until Ctrl-C.

    It begins with the parts that are not found, and, where FILE has notes already, with what changed since the
    last of them. Then it notes drops and returns, speeds, over-current, a port that came back under another name and
    who still holds the old one, parts that are there and move nothing, and what programs waited for: processor, disk or
    memory. Every note is on disk before the next look, so a killed watch keeps all of them. Looking opens no device.
    """
    from pathlib import Path

    from topo.live.beside import Beside
    from topo.live.names import names_of
    from topo.live.notes import NoteFile
    from topo.live.pressure import pressure
    from topo.live.roll import roll_of
    from topo.live.watch import watch
    from topo.model.plain import plain
    from topo.pipeline import study_file
    from topo.rigfile.read import read
    from topo.wiring.cycles import cycles_of

    rigfile, study = read(rig), study_file(rig)
    scanner = scanner_named(name)
    scanner.scan()
    path = log or f"{Path(rig).stem}.watch.jsonl"
    before = _last_of(path)
    file = NoteFile(path)
    click.echo(f"notes go to {plain(path, 400)}; Ctrl-C ends the watch", err=True)

    def keep(note: Note) -> None:
        if trouble := file.add(note):
            click.echo(trouble, err=True)
        _tell(note, as_json)

    _signals()
    try:
        watch(scanner, keep, every, lambda scan: names_of(rigfile, scan), looks=looks,
              call=lambda scan: roll_of(study, scan), before=before, cycles=cycles_of(study.rig),
              pressure=lambda: pressure(Beside("/sys")))
    except KeyboardInterrupt:
        click.echo("ended", err=True)
    finally:
        file.close()


def _last_of(path: str) -> LastSeen | None:
    """What the last watch of a log saw last; None where there is no log, or none that can be read."""
    from topo.errors import ScanError
    from topo.live.meanwhile import last_seen
    from topo.live.notes import read_watch

    try:
        return last_seen(read_watch(path).notes)
    except ScanError:
        return None  # appending to a file that is no log is refused where it is opened


def _tell(note: Note, as_json: bool) -> None:
    """Prints a note; a terminal that is gone must not end the watch."""
    import contextlib

    from topo.cli.show import paragraph
    from topo.live.notes import line_of
    from topo.model.plain import plain

    with contextlib.suppress(OSError):
        if as_json:
            click.echo(line_of(note), nl=False)
        elif note.kind != "alive":
            paragraph(plain(note.text, 2000), " " * 10, f"{note.at[11:19]}  ")


def _signals() -> None:
    """A request to end (SIGTERM) ends the watch as Ctrl-C does; a terminal that closes (SIGHUP) does not end it."""
    import signal

    def end(*_: object) -> None:
        raise KeyboardInterrupt

    signal.signal(signal.SIGTERM, end)
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, signal.SIG_IGN)
