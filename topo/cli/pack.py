"""`topo pack`: a folder to post when asking for help, with nothing private in it."""

from __future__ import annotations

import click

from topo.cli.times import evidence_options, times_of
from topo.cli.unchecked import finish, note, unchecked


@click.command()
@click.argument("rig", type=click.Path())
@click.option("-o", "--output", type=click.Path(), required=True, metavar="FOLDER", help="The folder to make.")
@click.option("--scan", type=click.Path(), help="A scan of the rig to put in: saved, or a listing (see `topo live`).")
@click.option("--watch", type=click.Path(), help="A watch log of a night to count drops from.")
@evidence_options("Logs, captures and tables of a night to tell from, in counts")
@click.option("--chase", type=click.Path(), help="The file of a chase, to tell what was tried. "
              "[default: the one beside the rig, if there is one]")
@click.option("--force", is_flag=True, help="Replace an older pack of that name.")
@click.option("--json", "as_json", is_flag=True, help="Print what was made and removed as JSON.")
def command(
    rig: str, output: str, scan: str | None, watch: str | None, evidence: tuple[str, ...], columns: tuple[str, ...],
    offsets: tuple[str, ...], zone: float | None, chase: str | None, force: bool, as_json: bool,
) -> None:
    """Make the folder FOLDER for a post about RIG: diagram, post, redacted files, and a list of what was taken out."""
    from topo.pack.folder import check_target, make_folder
    from topo.pipeline import pack_of
    from topo.rigfile.read import read

    times = times_of(evidence, columns, offsets, zone)
    check_target(output, force)
    made = pack_of(read(rig), scan, watch, chase or _beside(rig), evidence, times)
    make_folder(output, made.files, force)
    for line in made.warnings:
        click.echo(f"topo: {line}", err=True)
    note(made.unchecked)
    _tell(output, made.files, made.removed, as_json)
    finish()


def _beside(rig: str) -> str | None:
    """The file of the rig's chase, where there is one."""
    from pathlib import Path

    from topo.rigfile.chasefile import beside

    return beside(rig) if Path(beside(rig)).is_file() else None


def _tell(output: str, files: dict[str, bytes], removed: tuple[str, ...], as_json: bool) -> None:
    if as_json:
        import json

        sizes = {name: len(data) for name, data in sorted(files.items())}
        made = {"format": "topo.pack.1", "files": sizes, "removed": list(removed), "plugins_failed": unchecked()}
        click.echo(json.dumps(made, indent=2))
        return
    from topo.cli.show import paragraph
    from topo.model.plain import plain

    listed = ", ".join(f"{name} ({len(data) / 1000:.0f} kB)" for name, data in files.items())
    paragraph(f"{plain(output)}: {listed}")
    paragraph("taken out: " + ("; ".join(removed) or "nothing"))
    paragraph("Look through it before you post it, and do not add where you observe from.")
