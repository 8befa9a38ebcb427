"""`topo chase`: the next test that tells most, until one suspect is left."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from topo.cli.show import width_option
from topo.cli.times import evidence_options, times_of
from topo.cli.unchecked import finish, note

if TYPE_CHECKING:
    from collections.abc import Sequence

    from topo.analysis.study import Study
    from topo.chase.follow import ChaseStep, Said
    from topo.model.answers import DeclaredTimes
    from topo.model.finding import Finding


@click.command(short_help="Find the fault: the next test that tells most.")
@click.argument("rig", type=click.Path(path_type=str))
@click.option("--symptom", multiple=True, metavar="NAME", help="What is seen; may be given again.")
@click.option("--at", multiple=True, metavar="PART", help="The part that shows it; may be given again.")
@click.option("--every", default="", metavar="WORDS", help='How often: "4 minutes", "twice a night", "always"')
@click.option("--have", multiple=True, metavar="THING", help="What is at hand: cable, hub, supply, laptop and others")
@click.option("--saw", multiple=True, metavar="ANSWER",
              help="What the test showed: yes, or no:18 (minutes watched); TEST=yes of another test.")
@click.option("--cannot", multiple=True, metavar="TEST", help="A test that cannot be done here; may be given again.")
@click.option("--state", metavar="FILE", type=click.Path(path_type=str), help="Where the chase is kept. "
              "[default: beside the rig]")
@click.option("--new", is_flag=True, help="Begin anew: forget what was kept.")
@click.option("--ask", is_flag=True, help="Ask, test by test, in the terminal.")
@click.option("--undo", is_flag=True, help="Take the last answer back.")
@click.option("--live", is_flag=True, help="Look at what is plugged in now: what it tells counts, and is kept.")
@click.option("--scan", metavar="FILE", type=click.Path(path_type=str),
              help="The same with a saved scan (`topo live --save`), or the kernel's usb/devices text.")
@evidence_options("What a log, capture or table of a night tells counts, and is kept")
@width_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object (topo.chase.1) instead of text.")
@click.option("-o", "--output", metavar="FILE.html", type=click.Path(path_type=str),
              help="Write a page to print: the first three tests as a tree.")
def command(
    rig: str, symptom: tuple[str, ...], at: tuple[str, ...], every: str, have: tuple[str, ...], saw: tuple[str, ...],
    cannot: tuple[str, ...], state: str | None, new: bool, ask: bool, undo: bool, live: bool, scan: str | None,
    evidence: tuple[str, ...], columns: tuple[str, ...], offsets: tuple[str, ...], zone: float | None, as_json: bool,
    output: str | None,
) -> None:
    """Find what is at fault in RIG: suspects with their chances, and the one test that tells most for each minute.

    Say what is seen (--symptom), where (--at) and how often (--every); do the test; say what it showed (--saw). What
    was said is kept in a small file beside the rig, so that a chase lasts over several nights. It ends with one name
    at 95 of 100, or with those that nothing at hand can tell apart.
    """
    from topo.chase.follow import Said
    from topo.chase.state import joined, said_in, save, without_last
    from topo.rigfile.chasefile import beside

    if live and scan is not None:
        raise click.UsageError("--live looks at this machine and --scan at a file: use one of them.")
    if output is not None and not output.lower().endswith((".html", ".htm")):
        raise click.UsageError("The page to print is written as .html.")
    times = times_of(evidence, columns, offsets, zone)
    kept = state or beside(rig)
    before, was = (Said(), None) if new or not _is_there(kept) else said_in(kept)
    study, findings = _studied(rig)
    told = (*_scanned(study, scan, live), *_logged(study, evidence, times))
    said = joined(without_last(before) if undo else before, Said(symptom, at, every, have, (), cannot, told))
    if ask:
        said = _asked(said, study)
    step = _follow(study, findings, said, saw)
    said, wires = step.said, step.rig
    if said != before or was is None:
        was = save(kept, wires.name, said, was)
    while ask and step.ended is None:
        _print(step, rig)
        answer = _answer(step)
        if answer is None:
            return
        step = _follow(study, findings, said, (answer,))
        said = step.said
        was = save(kept, wires.name, said, was)
    if output is not None:
        _write_page(step, rig, output)
    remedies = () if step.ended is None else _remedies(step, rig)
    if as_json:
        from topo.chase.asjson import chase_json
        from topo.cli.show import as_json as print_json

        print_json("topo.chase.1", chase_json(step, remedies))
    else:
        _print(step, rig, remedies)
    finish()


def _is_there(path: str) -> bool:
    from pathlib import Path

    return Path(path).exists()


def _studied(path: str) -> tuple[Study, tuple[Finding, ...]]:
    """The rig of the file, and what checks find of it."""
    from topo.analysis.study import Study
    from topo.cli.planning import examiner
    from topo.pipeline import rig_of
    from topo.rigfile.read import read

    study = Study(rig_of(read(path)))
    return study, examiner()(study)


def _follow(study: Study, findings: Sequence[Finding], said: Said, saw: Sequence[str]) -> ChaseStep:
    """The step after all that was said and these answers. An answer that names no test is about the one advised."""
    from topo.chase.follow import Said, advised, follow
    from topo.chase.heard import heard, of_findings
    from topo.chase.known import factors, fresh
    from topo.chase.of_rig import wires_of
    from topo.chase.state import joined

    wires, found = wires_of(study), of_findings(findings)

    def step_of(now: Said) -> ChaseStep:
        return follow(wires, now, factors(wires, study, (*found, *fresh(tuple(map(heard, now.told)), now.saw))))

    for answer in saw:
        full = answer if "=" in answer else f"{advised(step_of(said))}={answer}"
        said = joined(said, Said(saw=(full,)))
    return step_of(said)


def _scanned(study: Study, path: str | None, live: bool) -> tuple[str, ...]:
    """What a scan tells, as it is kept. Tests follow the file, so where a scan shows other places, that is said."""
    if path is None and not live:
        return ()
    from topo.chase.heard import of_findings, of_scan
    from topo.chase.known import SPEAKS_OF
    from topo.cli.live import scan_of
    from topo.pipeline import compare_scan

    scan = scan_of(path, None)
    comparison, found, troubles = compare_scan(study, scan)
    differ = len(comparison.missing) + sum(finding.name in ("part-moved", "part-unexpected") for finding in found)
    mend = f"{differ} parts sit elsewhere than the file says, or are not seen: tests follow the file (`topo compare`)"
    note(troubles)
    if differ or not comparison.matches:
        click.echo(f"topo: {mend if comparison.matches else 'the scan shows no part of the file'}", err=True)
    return tuple(each.text for each in (*of_findings(found), *of_scan(comparison, found)) if each.name in SPEAKS_OF)


def _logged(study: Study, files: tuple[str, ...], times: DeclaredTimes) -> tuple[str, ...]:
    """What logs and tables of a night tell, as it is kept."""
    if not files:
        return ()
    from topo.chase.heard import of_answers, of_findings
    from topo.chase.known import SPEAKS_OF
    from topo.pipeline import evidence_study

    told = evidence_study(study, files, times)
    note((*told.troubles, *(f"{file.name}: {file.problem}" for file in told.answers.files if file.problem)))
    found = told.report.findings if told.report is not None else ()
    return tuple(each.text for each in (*of_findings(found), *of_answers(told.answers)) if each.name in SPEAKS_OF)


def _asked(said: Said, study: Study) -> Said:
    """What was not said yet, asked for in the terminal."""
    from topo.chase.said import HOW_OFTEN, UNSAID
    from topo.chase.symptoms import SYMPTOM_OF, SYMPTOMS
    from topo.frozen import replace
    from topo.model.plain import plain
    from topo.model.rig import COMPUTER

    if not said.symptoms:
        for symptom in SYMPTOMS:
            click.echo(f"  {symptom.name:16}{symptom.words}")
        chosen = click.prompt("What is seen", type=click.Choice(list(SYMPTOM_OF)), show_choices=False)
        said = replace(said, symptoms=(chosen,))
    if not said.at and not all(SYMPTOM_OF[name].hits for name in said.symptoms if name in SYMPTOM_OF):
        click.echo("  " + ", ".join(plain(name) for name in study.topology.wired if name != COMPUTER))
        parts = click.prompt("Which parts show it (with blanks between)")
        said = replace(said, at=tuple(parts.split()))
    if not said.every:
        said = replace(said, every=click.prompt(f"How often ({HOW_OFTEN})", default=UNSAID))
    return said


def _answer(step: ChaseStep) -> str | None:
    """One answer from the terminal; None where the person stops for tonight."""
    from topo.chase.words import typed

    option = step.choice.option
    assert option is not None
    test = step.case.tests[option.number]
    words = [typed(outcome) for outcome in test.outcomes]
    word: str = click.prompt("What did it show", type=click.Choice([*words, "stop"]))
    if word == "stop":
        return None
    if word == "no" and not test.is_look:
        watched = click.prompt("For how many minutes", type=click.FloatRange(0, 1e6), default=round(option.wait, 1))
        return f"{test.key}={word}:{watched:g}"
    return f"{test.key}={word}"


def _remedies(step: ChaseStep, rig: str) -> tuple[str, ...]:
    """What checks advise for those found, computed as `topo check` does."""
    from topo.chase.known import remedies
    from topo.pipeline import check_file

    found = [step.case.suspects[i] for group in (step.ended.groups if step.ended else ()) for i in group]
    return remedies(step.rig, found, check_file(rig).findings)


def _print(step: ChaseStep, rig: str, remedies: tuple[str, ...] = ()) -> None:
    from topo.cli.show import width
    from topo.report.chase import chase_lines
    from topo.report.print import encoding_of, print_lines

    print_lines(chase_lines(step, rig, width(), encoding_of(sys.stdout), remedies))


def _write_page(step: ChaseStep, rig: str, output: str) -> None:
    from topo.disk.whole import write_whole
    from topo.draw.chase_page import chase_page
    from topo.model.plain import plain

    write_whole(output, chase_page(step, rig))
    click.echo(f"wrote {plain(output, 400)}", err=True)
