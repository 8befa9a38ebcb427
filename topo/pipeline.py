"""The journey of a rig file, one line a stage. Commands call this; it calls the rooms in order and nothing else.

read → RigFile → resolve → Rig → Study (wire, traffic, shares, outcomes) → examine → Findings → compose → Report
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from topo.analysis.study import Study
from topo.model.check import Check
from topo.model.finding import Finding, in_order
from topo.model.profile import ProfileSource
from topo.model.rig import Device, Hub, Rig
from topo.rigfile.document import RigFile
from topo.rigfile.profiles import profiles_of
from topo.rigfile.read import read, read_text
from topo.wiring.resolve import resolve
from topo.words.nearest import near_names

if TYPE_CHECKING:
    from topo.draw.shapes import Sheet
    from topo.evidence.open import Source
    from topo.model.answers import DeclaredTimes, HeldEvidence
    from topo.model.comparison import Comparison
    from topo.model.finding import Plan
    from topo.model.power import PowerNight
    from topo.model.sighting import Scan
    from topo.night.outcome import Nights
    from topo.pack.contents import Contents, HeldNight, Hidden
    from topo.place.examiner import Examiner
    from topo.place.judge import Judge
    from topo.plugin.load import Plugins
    from topo.report.compared import ComparisonReport
    from topo.report.compose import Report
    from topo.report.evidence import EvidenceReport
    from topo.report.tonight import TonightReport


EVIDENCE_HOOKS = ("topo_evidence_readers",)
STUDY_HOOKS = ("topo_profiles", "topo_checks")
"""All a study asks of plugins. Scanners and renderers are asked for by the commands that use them."""


def plugins() -> Plugins:
    """The profiles and checks that plugins supply, loaded once for each process."""
    from topo.plugin.load import loaded

    return loaded(STUDY_HOOKS)


def remarks() -> tuple[str, ...]:
    """What a person should know of a run besides its answer, in words: own profiles that stood in for others."""
    from topo.plugin.load import loaded

    if not loaded.cache_info().currsize:
        return ()
    return tuple(
        f"'{name}' is your own profile; it goes before the one of that name from {supplier}"
        for name, supplier in plugins().shelf.in_place_of
    )


def _profiles(rigfile: RigFile) -> ProfileSource:
    """Profiles of the rig file itself first, then those of the person and of plugins."""
    from topo.plugin.shelf import Layered

    return Layered(profiles_of(rigfile), plugins())


def rig_of(rigfile: RigFile) -> Rig:
    """The rig a file declares, with profiles merged. Raises RigFileError."""
    return resolve(rigfile, _profiles(rigfile))


def new_part(rigfile: RigFile, name: str, body: Mapping[str, Any]) -> Hub | Device:
    """A part that is not in the file yet, resolved as if it stood there. Raises RigFileError or CommandError.

    `body` is the entry as it would be written, with a `profile` and no plug; whether it is a hub or a device follows
    from the profile.
    """
    from topo.errors import CommandError
    from topo.model.plain import plain
    from topo.rigfile.entries import DeviceEntry, HubEntry
    from topo.rigfile.validate import entry_of
    from topo.wiring.resolve import resolve_part

    known = _profiles(rigfile)
    profile = known.profile(body["profile"])
    if profile is None:
        near = near_names(body["profile"], known.profile_names(), most=3)
        hint = f"; nearest: {', '.join(near)}" if near else ""
        raise CommandError(f"no profile is called {plain(body['profile'])}{hint} (`topo profiles WORD` searches them)")
    if profile.kind == "computer":
        raise CommandError(f"{profile.name} is a computer; a rig has one")
    entry: HubEntry | DeviceEntry
    if profile.kind == "hub":
        entry = entry_of(HubEntry, {key: value for key, value in body.items() if key not in ("role", "use")})
    else:
        entry = entry_of(DeviceEntry, body)
    return resolve_part(rigfile, name, entry, profile)


def study_file(path: str | os.PathLike[str]) -> Study:
    """Everything computed of the rig in a file. Raises RigFileError."""
    return Study(rig_of(read(path)))


def examine(study: Study, checks: Sequence[Check]) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Runs the checks that need a study: their findings, and what went wrong with checks in words."""
    return _found(checks, "study", study)


def _found(checks: Sequence[Check], needs: str, given: Any) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Runs the checks that need what is given: their findings, and what went wrong with checks in words."""
    from topo.plugin.guard import run_check

    findings: list[Finding] = []
    troubles: list[str] = []
    for check in checks:
        if check.needs != needs:
            continue
        found, trouble = run_check(check, given)
        findings += found
        if trouble is not None:
            troubles.append(str(trouble))
    return tuple(findings), tuple(troubles)


def compare_scan(study: Study, scan: Scan) -> tuple[Comparison, tuple[Finding, ...], tuple[str, ...]]:
    """Holds a study against a scan and runs the checks that need the comparison; what went wrong with them in words."""
    from topo.compare.compare import compare

    comparison = compare(study, scan)
    return comparison, *_found(plugins().checks, "comparison", comparison)


def compare_study(study: Study, scan: Scan) -> ComparisonReport:
    """A study held against a scan, and what the checks of the comparison found."""
    from topo.report.compared import ComparisonReport
    from topo.report.compose import compose

    comparison, findings, troubles = compare_scan(study, scan)
    known = (*map(str, plugins().troubles), *troubles)
    return ComparisonReport(comparison, compose(comparison.study, *advise(comparison.study, findings), known))


def check_study_live(study: Study, scan: Scan) -> ComparisonReport:
    """The main job with measured facts in place of those of the file, and what the comparison found."""
    from topo.report.compared import ComparisonReport, without_doubles
    from topo.report.compose import compose

    comparison, found, trouble = compare_scan(study, scan)
    findings, troubles = examine(comparison.study, plugins().checks)
    known = (*map(str, plugins().troubles), *troubles, *trouble)
    advice = advise(comparison.study, without_doubles((*findings, *found)))
    return ComparisonReport(comparison, compose(comparison.study, *advice, known))


def examiner(told: Callable[[Iterable[str]], None] = lambda troubles: None) -> Examiner:
    """Every check there is, and those apart that planning asks one by one, of one controller, or once.

    `told` hears in words of checks that failed.
    """
    from functools import partial

    from topo.place.examiner import Examiner, LocalCheck

    def found(checks: tuple[Check, ...], study: Study) -> tuple[Finding, ...]:
        findings, troubles = examine(study, checks)
        told(troubles)
        return findings

    checks = tuple(check for check in plugins().checks if check.needs == "study")
    return Examiner(
        partial(found, checks),
        tuple(LocalCheck(c.name, c.severities, partial(found, (c,))) for c in checks if c.scope == "controller"),
        partial(found, tuple(check for check in checks if check.scope == "no-plug")),
        {check.name: partial(found, (check,)) for check in checks},
        frozenset(check.name for check in checks if check.scope == "no-plug"),
        frozenset(check.name for check in checks if check.scope == "controller"),
        {check.name: check.still for check in checks if check.still is not None},
        {check.name: check.glimpse for check in checks if check.glimpse is not None},
    )


def advise(study: Study, findings: Iterable[Finding]) -> tuple[tuple[Finding, ...], Plan | None]:
    """Findings, worst first, each with what to do about it as planning computes it; and what to do first."""
    return _advised(study, findings)[:2]


def _advised(study: Study, findings: Iterable[Finding]) -> tuple[tuple[Finding, ...], Plan | None, Judge | None]:
    """The same, and who judged it: what was computed for that need not be computed again."""
    told = in_order(findings)
    if not told:
        return (), None, None
    from topo.place.first import advised
    from topo.place.judge import Judge

    judge = Judge(study, told, examiner())
    advice = advised(judge)
    return advice.findings, advice.first.plan if advice.first is not None else None, judge


def evidence_of(files: Sequence[str], declared: DeclaredTimes) -> EvidenceReport:
    """What files say by themselves, without a rig: the tree is then what they show."""
    from topo.evidence.answer import KnownNames, answer
    from topo.report.evidence import EvidenceReport

    sources, troubles = _gathered(files, declared)
    answers = answer(sources, dict(declared.offsets), declared.zone_s, KnownNames())
    return EvidenceReport(answers, None, troubles)


def evidence_study(study: Study, files: Sequence[str], declared: DeclaredTimes) -> EvidenceReport:
    """The evidence of a night held against a rig, and what the checks of evidence found."""
    from topo.report.compose import compose
    from topo.report.evidence import EvidenceReport

    sources, failed = _gathered(files, declared)
    held, findings, troubles = hold_evidence(study, sources, declared)
    known = (*map(str, plugins().troubles), *failed, *troubles)
    return EvidenceReport(held.answers, compose(study, *advise(study, findings), known), known)


def _gathered(files: Sequence[str], declared: DeclaredTimes) -> tuple[tuple[Source, ...], tuple[str, ...]]:
    """Every file as its reader read it, and what went wrong with plugins that bring readers."""
    from topo.evidence.open import gather
    from topo.plugin.load import loaded

    found = loaded(EVIDENCE_HOOKS)
    return gather(files, found.evidence_readers, dict(declared.columns)), tuple(map(str, found.troubles))


def hold_evidence(
    study: Study, sources: Sequence[Source], declared: DeclaredTimes
) -> tuple[HeldEvidence, tuple[Finding, ...], tuple[str, ...]]:
    """Sources held against a study: their answers, what checks of evidence found, and what went wrong with those."""
    from topo.compare.compare import compare
    from topo.evidence.answer import answer
    from topo.evidence.held import held, names_of, scan_of

    scan = scan_of(sources)
    comparison = compare(study, scan) if scan is not None else None
    names = names_of(study, comparison, sources)
    told = held(answer(sources, dict(declared.offsets), declared.zone_s, names), study)
    return told, *_found(plugins().checks, "evidence", told)


def check_evidence(study: Study, files: Sequence[str], declared: DeclaredTimes) -> tuple[Report, EvidenceReport]:
    """The main job with what logs say told along: the whole report, and the evidence by itself."""
    from topo.report.compose import compose

    evidence = evidence_study(study, files, declared)
    plain = report_of(study)
    found = evidence.report.findings if evidence.report is not None else ()
    return compose(study, (*plain.findings, *found), plain.first, (*plain.troubles, *evidence.troubles)), evidence


def report_of(study: Study, advice: bool = True) -> Report:
    """Examines a study with every check there is, and computes what to do about what they find."""
    from topo.report.compose import compose

    known = plugins()
    findings, troubles = examine(study, known.checks)
    told, first, judge = _advised(study, findings) if advice else (findings, None, None)
    return compose(study, told, first, (*map(str, known.troubles), *troubles), judge)


def check_file(path: str | os.PathLike[str]) -> Report:
    """The main job: from a rig file to a report. Raises RigFileError."""
    return report_of(study_file(path))


def night_of(path: str | os.PathLike[str], nights: int, seed: int) -> TonightReport:
    """The planned night, simulated so many times, as it is and with the first advice done. Raises RigFileError."""
    from topo.model.plain import plain
    from topo.night.tonight import tonight
    from topo.report.tonight import TonightReport

    report = check_file(path)
    after = advised_study(report)
    now = report.study.nights
    then = None if after is None else after.nights
    return TonightReport(
        plain(report.rig), plain(report.file), tonight(now, nights, seed),
        *(("", "") if report.first is None else advice_words(report.first)),
        None if then is None else tonight(then, nights, seed), report.troubles, now,
        {resource.id: resource.label for resource in report.study.traffic.resources},
        _power_through(report.study, now, seed), report.study.guided, *report.study.close_ups(after),
    )


def _power_through(study: Study, nights: Nights, seed: int) -> PowerNight | None:
    """Volts through one of the simulated nights, the likely one; None without a 12 V side."""
    from topo.night.run import Draw, run_night
    from topo.power.hours import with_usual
    from topo.power.through_night import night_power

    if not study.rig.supplies:
        return None
    night = run_night(nights.plan, nights.casts["likely"], "fair", Draw(seed))
    return night_power(study.rig, with_usual(study.rig, night.happenings))


def strips(report: Report) -> Sheet | None:
    """One exposure's end as it is and with what to do first done, beneath each other; None without a guide camera."""
    from topo.draw.shapes import stacked
    from topo.draw.strips import strips_of

    after = advised_study(report)
    words = "" if report.first is None else advice_words(report.first)[1]
    sheets = strips_of(*report.study.close_ups(after), words)
    return stacked(sheets) if sheets else None


def advice_sheet(report: Report, width: int = 900) -> Sheet | None:
    """Before and after what to do first, in small; None where there is no such advice."""
    from topo.draw.before_after import before_after

    after = advised_study(report)
    if after is None or report.first is None:
        return None
    return before_after(report.study, after, report.findings, report.first, width)


def advice_words(plan: Plan) -> tuple[str, str]:
    """What to do first in full, and its steps alone."""
    from topo.wiring.instructions import in_one_line, instructions

    return in_one_line(plan.proposal), " ".join(instructions(plan.proposal))


def advised_study(report: Report) -> Study | None:
    """The rig of a report with what to do first done; None where there is no such advice."""
    from topo.place.judge import done

    return None if report.first is None else Study(done(report.study.rig, report.first.proposal))


def examine_text(text: str, path: str = "rig.yaml") -> Report:
    """The same for text that is in no file: cases of checks, drafts, plans."""
    return report_of(Study(rig_of(read_text(text, path))))


def pack_of(
    rigfile: RigFile, scan: str | None = None, watch: str | None = None, chase: str | None = None,
    evidence: Sequence[str] = (), times: DeclaredTimes | None = None,
) -> Contents:
    """The files of a pack: the rig redacted, then examined again as anyone would read it; scan and logs if named.

    The scan may be a listing that some system printed.

    Raises RigFileError; ScanError for a scan or a watch log that cannot be read.
    """
    from topo.pack.contents import HeldScan, contents, hide_rig, hide_scan

    known = _profiles(rigfile)
    original = report_of(Study(resolve(rigfile, known)), advice=False)  # only held against its redacted self
    hidden = hide_rig(rigfile, known.profile, lambda name: _ships(known, name))
    report = examine_text(hidden.rig.text)
    held = None
    if scan is not None:
        from topo.live import recording, store

        whole = recording.replay(scan)
        comparison, before, failed = compare_scan(original.study, whole)
        shown = store.loads(store.dumps(hide_scan(whole, comparison, hidden)))
        again, after, failed_again = compare_scan(report.study, shown)
        held = HeldScan(shown, again, after, before, (*failed, *failed_again))
    night = _packed_night(original.study, report.study, evidence, times, hidden) if evidence else None
    return contents(hidden, original, report, held, watch, chase, night, strips(report), advice_sheet(report))


def _packed_night(
    whole: Study, shown: Study, files: Sequence[str], times: DeclaredTimes | None, hidden: Hidden
) -> HeldNight:
    """What evidence says of the redacted rig, in words that may be shown."""
    from topo.model.answers import DeclaredTimes
    from topo.pack.contents import HeldNight
    from topo.pack.night import night_lines, renamed, times_renamed

    times = times or DeclaredTimes()
    sources, _ = _gathered(files, times)
    before = hold_evidence(whole, sources, times)[1]
    told, after, _ = hold_evidence(shown, renamed(sources, hidden.rig.parts, hidden.removed),
                                   times_renamed(times, sources))
    return HeldNight(night_lines(told.answers), after, before)


def _ships(known: ProfileSource, name: str) -> bool:
    """Whether anyone who has the tool has a profile of that name."""
    from topo.plugin.candidates import DISTRIBUTION

    profile = known.profile(name)
    return profile is not None and f"({DISTRIBUTION} " in profile.supplied_by
