"""`topo planb`: what stops when a part fails, and what to do then; a sheet to print and keep with the rig."""

from __future__ import annotations

import textwrap
from collections import Counter
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
@click.option("--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True, help="Its size.")
@click.option("--all", "everything", is_flag=True, help="List failures that stop neither imaging nor guiding as well.")
@click.option("--json", "json_", is_flag=True, help="One JSON object.")
def command(rig: str, output: str | None, paper: str, everything: bool, json_: bool) -> None:
    """For each hub, cable, port, controller, supply and network link: what stops, and where orphans go."""
    from topo.cli.planning import examiner
    from topo.errors import CommandError
    from topo.pipeline import rig_of
    from topo.place.planb import plan_b
    from topo.rigfile.read import read

    if output is not None and not output.lower().endswith((".pdf", ".txt")):
        raise CommandError("the sheet is written as .pdf or .txt")
    whole = rig_of(read(rig))
    failures = plan_b(whole, examiner())
    if json_:
        _print_json(whole, failures)
    elif output is None:
        _print(sheet(whole, failures, everything))
    if output is not None:
        _write(output, sheet(whole, failures, everything), paper)
    finish()


def sheet(rig: Rig, failures: tuple[Failure, ...], everything: bool = False) -> list[str]:
    """The sheet as lines of at most 80 columns: single points of failure first, then the rest in short."""
    from topo.model.plain import plain

    single = [failure for failure in failures if failure.single_point]
    rest = [failure for failure in failures if not failure.single_point and (everything or failure.stops)]
    title = f"PLAN B: {plain(rig.name)}"
    lines = [title, "=" * min(WIDTH, len(title))]
    lines += ["", "PICTURES OR GUIDING STOP WHEN ONE OF THESE FAILS" if single else "Nothing here stops the night.", ""]
    lines += _section(single, "Cables that stop what hangs on them")
    if rest:
        lines += ["", "THE NIGHT GOES ON WITHOUT THESE", ""]
        lines += _section(rest, "Cables that stop no more than their own part")
    lines += _start(rig)
    lines += ["", "WAYS IN", "", *_ways_in(rig)]
    lines += ["", "HAVE READY", ""]
    for advice, count in Counter(f.advice for f in (*single, *rest) if f.advice).items():
        times = f" ({count} of the rig's parts need one)" if count > 1 else ""
        lines += _wrapped(f"{advice[0].upper()}{advice[1:]}{times}.", "  - ", "    ")
    return [line.rstrip() for line in [*lines, *_cautions(rig)]]


def _start(rig: Rig) -> list[str]:
    """When to connect what after power-on, where any part takes its time or waits for another."""
    from topo.model.plain import plain
    from topo.model.rig import COMPUTER
    from topo.place.startlist import start_list, worth_saying

    steps = start_list(rig)
    if not worth_saying(steps, rig):
        return []
    lines = ["", "SWITCHING ON, IN THIS ORDER", "", "[ ] T: 12 V on, before any data plug goes in."]
    at_once = [plain(step.part) for step in steps if step.at_s == 0.0 and step.part != COMPUTER]
    lines += _wrapped(f"At once: {', '.join(at_once)}.", "[ ] ", "    ") if at_once else []
    waits = {part.id: part.after for part in rig.parts}
    for step in steps:
        if step.at_s > 0.0:
            first = waits[step.part]
            why = f", after {plain(first)}" if first is not None else ""
            own = f" (takes {step.own_s:g} s to answer)" if step.own_s else ""
            lines += _wrapped(f"Connect {plain(step.part)} at T+{step.at_s:g} s{why}{own}.", "[ ] ", "    ")
    return lines


def _section(failures: list[Failure], cables: str) -> list[str]:
    lines = [line for group in _grouped([f for f in failures if not _is_leaf_cable(f)]) for line in _entry(group)]
    return lines + _leaf_cables(cables, [failure for failure in failures if _is_leaf_cable(failure)])


WAYS = {"network": "its own network socket", "wifi": "its own Wi-Fi", "screen": "a screen and keyboard at the pier"}


def _ways_in(rig: Rig) -> list[str]:
    """How the computer is reached, and what is left when one way fails."""
    from topo.model.plain import plain

    ways = [WAYS.get(way, plain(way)) for way in rig.computer.ways_in]
    if not ways:
        return _wrapped("The file does not say how you reach the computer: add `ways_in: [network, wifi, screen]`, or "
                        "the names of sticks and adapters, under `computer:`.", "    ", "    ")  # fmt: skip
    if len(ways) == 1:
        return _wrapped(f"Only {ways[0]}. When that fails you are locked out: set the computer up to go on by itself, "
                        "and keep a second way ready.", "    ", "    ")  # fmt: skip
    return _wrapped(f"{ways[0][0].upper()}{ways[0][1:]}; when that fails {', then '.join(ways[1:])}.", "    ", "    ")


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
        "computer": "the computer",
        "cable": "cable of {}",
        "supply": "supply {}",
        "lead": "12 V lead {}",
        "block": "terminal block {}",
        "box": "power box {}",
        "converter": "converter {}",
        "hub": "hub {}",
        "adapter": "serial adapter {}",
        "port": "socket {}",
        "controller": "controller {}",
        "way-in": "way in: {}",
        "pulse-lead": "pulse lead of {}",
        "device": "{}",
    }
    return ", or ".join(names[failure.kind].format(plain(failure.name)) for failure in group)


def _entry(group: list[Failure]) -> list[str]:
    """One entry: what fails, what stops, where orphans go meanwhile, what stays stopped and what the refuges bring."""
    from topo.model.plain import plain
    from topo.place.consequence import in_words

    first = group[0]
    title = _title(group)
    stopped = f": no {', no '.join(map(plain, first.services))}" if first.services else ""
    lines = _wrapped(f"{title[0].upper()}{title[1:]}{stopped}", "[ ] ", "    ")
    others = tuple(name for name in first.stops if name != first.name)
    if others:
        lines += _wrapped("Stops " + ", ".join(map(plain, others)) + ".", "    ", "    ")
    lines += _wrapped(_meanwhile(first), "    ", "    ") if first.refuges else []
    if first.refuges and first.services:
        still = f"Still no {', no '.join(map(plain, first.still))}." if first.still else "Then the night goes on."
        lines += _wrapped(still, "    ", "    ")
    return [*lines, *(_wrapped(f"That brings {in_words(first.brings)}.", "    ", "    ") if first.brings else [])]


def _meanwhile(failure: Failure) -> str:
    """Where orphans go, in the order to do it."""
    from topo.model.plain import plain

    said = []
    for refuge in failure.refuges:
        if refuge.plug is not None:
            pull = f"pull {plain(refuge.instead_of)} and " if refuge.instead_of else ""
            why = f" ({refuge.why})" if refuge.why else ""
            said.append(f"{pull}plug {plain(refuge.part)} into {plain(refuge.plug)}{why}")
    words = f"Meanwhile {'; '.join(said)}." if said else ""
    for why in dict.fromkeys(r.why for r in failure.refuges if r.plug is None):
        left = [plain(r.part) for r in failure.refuges if r.plug is None and r.why == why]
        why = why.replace("takes it", "takes them") if len(left) > 1 else why
        words += f" Leave out {', '.join(left)}: {why}."
    return words.strip()


def _wrapped(text: str, first: str, indent: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False)


def _print(lines: list[str]) -> None:
    import sys

    from topo.report.lines import safe
    from topo.report.print import encoding_of

    for line in lines:
        click.echo(safe(line, encoding_of(sys.stdout)))


def _write(path: str, lines: list[str], paper: str) -> None:
    from topo.disk.whole import write_whole
    from topo.draw.sheet import pdf_of_text
    from topo.model.plain import plain

    if path.lower().endswith(".txt"):
        write_whole(path, ("\n".join(lines) + "\n").encode())
    else:
        write_whole(path, pdf_of_text(lines, paper))
    click.echo(f"wrote {plain(path, 400)}", err=True)


def _print_json(rig: Rig, failures: tuple[Failure, ...]) -> None:
    from topo.cli.planning import finding_json
    from topo.cli.show import as_json
    from topo.place.startlist import start_list

    as_json(
        "topo.planb.1",
        {
            "failures": [
                {
                    "kind": f.kind,
                    "name": f.name,
                    "stops": list(f.stops),
                    "night_loses": list(f.services),
                    "still_lost": list(f.still),
                    "single_point": f.single_point,
                    "have_ready": f.advice,
                    "brings": [finding_json(finding) for finding in f.brings],
                    "refuges": [
                        {"part": r.part, "plug": r.plug, "instead_of": r.instead_of, "why": r.why} for r in f.refuges
                    ],
                }
                for f in failures
            ],
            "start": [
                {"part": step.part, "at_s": step.at_s, "own_s": step.own_s, "waits_for": list(step.waits_for)}
                for step in start_list(rig)
            ],
        },
    )
