"""`topo planb`: what stops when a part fails, and what to do then; a sheet to print and keep with the rig."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

import click

from topo.cli.show import WIDTH
from topo.cli.unchecked import finish

if TYPE_CHECKING:
    from topo.model.rig import Rig
    from topo.place.planb import Failure



@click.command()
@click.argument("rig", type=click.Path())
@click.option("-o", "--output", type=click.Path(), metavar="FILE.pdf|.txt", help="Write the sheet to print.")
@click.option("--all", "everything", is_flag=True, help="List failures that stop neither imaging nor guiding as well.")
@click.option("--json", "json_", is_flag=True, help="One JSON object.")
def command(rig: str, output: str | None, everything: bool, json_: bool) -> None:
    """For each hub, cable, port, controller, supply and network link: what stops, and where orphans go."""
    from topo.cli.planning import examine_all
    from topo.errors import CommandError
    from topo.pipeline import rig_of
    from topo.place.planb import plan_b
    from topo.rigfile.read import read

    if output is not None and not output.lower().endswith((".pdf", ".txt")):
        raise CommandError("the sheet is written as .pdf or .txt")
    whole = rig_of(read(rig))
    failures = plan_b(whole, examine_all)
    if json_:
        _print_json(failures)
    elif output is None:
        _print(sheet(whole, failures, everything))
    if output is not None:
        _write(output, sheet(whole, failures, everything))
    finish()


def sheet(rig: Rig, failures: tuple[Failure, ...], everything: bool = False) -> list[str]:
    """The sheet as lines of at most 80 columns: single points of failure first, then the rest in short."""
    from topo.model.plain import plain

    single = [failure for failure in failures if failure.single_point]
    rest = [failure for failure in failures if not failure.single_point and (everything or failure.stops)]
    title = f"PLAN B: {plain(rig.name)}"
    lines = [title, "=" * min(WIDTH, len(title))]
    lines += ["", "IMAGING OR GUIDING STOPS WHEN ONE OF THESE FAILS" if single else "Nothing here stops the night.", ""]
    for group in _grouped([failure for failure in single if not _is_leaf_cable(failure)]):
        lines += _entry(group)
    lines += _leaf_cables("Cables that stop what hangs on them", [f for f in single if _is_leaf_cable(f)])
    if rest:
        lines += ["", "THE NIGHT GOES ON WITHOUT THESE", ""]
        for group in _grouped([failure for failure in rest if not _is_leaf_cable(failure)]):
            lines += _entry(group)
        lines += _leaf_cables("Cables that stop no more than their own part", [f for f in rest if _is_leaf_cable(f)])
    lines += ["", "HAVE READY", ""]
    for advice in dict.fromkeys(f.advice for f in (*single, *rest) if f.advice):
        lines += _wrapped(advice, "  - ", "    ")
    return [line.rstrip() for line in [*lines, *_cautions(rig)]]


def _cautions(rig: Rig) -> list[str]:
    from topo.model.cautions import CAUTIONS

    if not rig.supplies and not rig.leads:
        return []
    return ["", "ON POWER", "", *(line for caution in CAUTIONS for line in _wrapped(caution, "  - ", "    "))]


def _is_leaf_cable(failure: Failure) -> bool:
    """A cable with no more to tell than what it stops."""
    return failure.kind == "cable" and not failure.refuges and len(failure.stops) <= 2


def _leaf_cables(title: str, failures: list[Failure]) -> list[str]:
    from topo.model.plain import plain

    if not failures:
        return []
    return _wrapped(f"{title}: {', '.join(plain(failure.name) for failure in failures)}.", "[ ] ", "    ")


def _grouped(failures: list[Failure]) -> list[list[Failure]]:
    """Failures with the same consequences together: a port, its cable and its hub stop the same parts."""
    groups: dict[tuple[object, ...], list[Failure]] = {}
    for failure in failures:
        groups.setdefault((failure.stops, failure.refuges), []).append(failure)
    return list(groups.values())


def _title(group: list[Failure]) -> str:
    from topo.model.plain import plain

    names = {
        "cable": "cable of {}",
        "supply": "supply {}",
        "lead": "lead {}",
        "hub": "hub {}",
        "port": "socket {}",
        "controller": "controller {}",
        "network": "network link ({})",
        "device": "{}",
    }
    return ", or ".join(names[failure.kind].format(plain(failure.name)) for failure in group)


def _entry(group: list[Failure]) -> list[str]:
    """One entry: what fails, what stops, and where orphans go meanwhile with what that brings."""
    from topo.model.plain import plain

    first = group[0]
    title = _title(group)
    ends = [word for word, on in (("imaging", first.imaging_goes_on), ("guiding", first.guiding_goes_on)) if not on]
    stopped = f" (no {' and no '.join(ends)})" if ends else ""
    lines = _wrapped(f"{title[0].upper()}{title[1:]}{stopped}", "[ ] ", "    ")
    if first.stops != (first.name,):
        lines += _wrapped("Stops " + (", ".join(map(plain, first.stops)) or "nothing") + ".", "    ", "    ")
    places = [f"{plain(r.part)} > {plain(r.plug)}" for r in first.refuges if r.plug]
    meanwhile = ["Plug " + ", ".join(places) + "."] if places else []
    for why in dict.fromkeys(r.why for r in first.refuges if not r.plug):
        lost = ", ".join(plain(r.part) for r in first.refuges if not r.plug and r.why == why)
        meanwhile.append(f"For {lost} {why}.")
    lines += _wrapped(" ".join(meanwhile), "    ", "    ") if meanwhile else []
    brings = ", ".join(dict.fromkeys(r.brings for r in first.refuges if r.brings))
    return [*lines, *(_wrapped(f"That brings {brings}.", "    ", "    ") if brings else [])]


def _wrapped(text: str, first: str, indent: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False)


def _print(lines: list[str]) -> None:
    import sys

    from topo.report.lines import safe
    from topo.report.print import encoding_of

    for line in lines:
        click.echo(safe(line, encoding_of(sys.stdout)))


def _write(path: str, lines: list[str]) -> None:
    from topo.disk.whole import write_whole
    from topo.draw.sheet import pdf_of_text
    from topo.model.plain import plain

    if path.lower().endswith(".txt"):
        write_whole(path, ("\n".join(lines) + "\n").encode())
    else:
        write_whole(path, pdf_of_text(lines))
    click.echo(f"wrote {plain(path, 400)}", err=True)


def _print_json(failures: tuple[Failure, ...]) -> None:
    from topo.cli.show import as_json

    as_json(
        "topo.planb.1",
        {
            "failures": [
                {
                    "kind": f.kind,
                    "name": f.name,
                    "stops": list(f.stops),
                    "imaging_goes_on": f.imaging_goes_on,
                    "guiding_goes_on": f.guiding_goes_on,
                    "single_point": f.single_point,
                    "advice": f.advice,
                    "refuges": [{"part": r.part, "plug": r.plug, "why": r.why} for r in f.refuges],
                }
                for f in failures
            ],
        },
    )
