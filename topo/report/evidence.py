"""What the evidence of a night says, as lines of text: files, findings, departures, what lines up, what is refuted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.answers import (
    CAUSE_WORDS,
    CLOCK_WORDS,
    GLITCH_WORDS,
    Counted,
    FileTold,
    Known,
    Link,
)
from topo.model.figures import amount, percent
from topo.model.plain import plain
from topo.report.departures import tell_computer, tell_departures, time_words
from topo.report.found import tell_findings
from topo.report.measured import tell_measured
from topo.report.page import Page
from topo.report.text import tell_cautions, tell_troubles
from topo.words.lists import counted, listed
from topo.words.verdicts import by_severity

if TYPE_CHECKING:
    from topo.model.answers import Answers, OverNights
    from topo.report.compose import Report
    from topo.report.lines import Line

MOST_LINES_TOLD = 12
MOST_NAMES_TOLD = 6
HARMLESS = ("reset-waking", "reset-starting")
COUNT_WORDS = {
    "over-current": "over-current on its port", "over-current-hub": "over-current on the whole hub",
    "low-volts": "the board's own supply sagged",
    "bandwidth": "refused, no bandwidth left", "resources": "refused, no resources left",
    "not-configured": "could not be configured", "reset": "reset while in use", "slower": "came back slower",
    "controller-dead": "controller declared dead",
}


@frozen(slots=False)
class EvidenceReport:
    """What the evidence says, and the findings it makes against a rig (None where no rig was named)."""

    answers: Answers
    report: Report | None
    troubles: tuple[str, ...] = ()


def evidence_lines(told: EvidenceReport, width: int = 80, encoding: str = "utf-8") -> list[Line]:
    """The evidence as styled lines of at most `width` terminal cells that `encoding` can say."""
    page = Page(width, encoding)
    answers, report = told.answers, told.report
    if report is not None:
        page.say(_verdict(report, answers), report.verdict.upper(), report.verdict, "strong")
        page.say(f"{plain(report.rig)}, from {plain(report.file)}" if report.file else plain(report.rig), "rig")
    else:
        page.say("No rig named, so parts are called by their places.", "EVIDENCE", "strong")
    _files(page, answers)
    if report is not None:
        tell_findings(page, report)
    tell_departures(page, answers)
    _places(page, answers)
    _unseen(page, answers)
    _between(page, answers)
    _links(page, answers)
    _nights(page, answers)
    _refuted(page, answers)
    tell_measured(page, answers)
    if report is not None:
        tell_troubles(page, report)
        tell_cautions(page, report)
    return page.lines


def _verdict(report: Report, answers: Answers) -> str:
    if report.verdict == "clear":
        return _clear(report, answers)
    return f"The night had trouble: {by_severity(report.findings)}" if report.verdict == "fault" else (
        f"The night leaves doubts: {by_severity(report.findings)}")


def _clear(report: Report, answers: Answers) -> str:
    """Nothing found, and what that does not mean."""
    if report.troubles or any(file.problem for file in answers.files):
        return "Nothing found, but not all was checked."
    if apart := [plain(_base(file.name), 60) for file in answers.files if file.first_s is None]:
        return f"Nothing found, but times of {listed(apart, 3)} could not be joined to the rest."
    glitches = sum(len(each.late) + len(each.lost) + len(each.jumps) for each in answers.guiding)
    if glitches:
        return f"Nothing found that explains {'it' if glitches == 1 else f'the {glitches} glitches of guiding'}."
    if answers.unseen and not any(part for _, part in answers.seen):
        return "Nothing found, and these files show little of the rig."
    return "Nothing in the evidence speaks against the rig."


# -- files and clocks -------------------------------------------------------------------------------------------------

def _files(page: Page, answers: Answers) -> None:
    page.blank()
    clock = {"utc": "UTC", "local": "local time, zone not told", "boot": "seconds since a boot",
             "session": "seconds since a session's start"}[answers.axis]
    page.say(f"Times are {clock}.", "FILES", "strong")
    alike: dict[tuple[str, str], list[FileTold]] = {}
    for file in answers.files:
        alike.setdefault((file.kind, file.problem) if file.kind == "FITS header" else (file.name, ""), []).append(file)
    for group in alike.values():
        page.hang(_file(group, answers), 4, "- ")
    for note in answers.notes:
        page.hang(plain(note, 400), 4, "! ")


def _file(files: list[FileTold], answers: Answers) -> str:
    file = files[0]
    name = plain(_base(file.name), 60) if len(files) == 1 else f"{len(files)} files like {plain(_base(file.name), 40)}"
    if file.problem:
        return f"{name}: not read: {plain(file.problem, 300)}"
    span = "its times cannot be joined to the rest"
    firsts = [f.first_s for f in files if f.first_s is not None]
    lasts = [f.last_s for f in files if f.last_s is not None]
    if firsts and lasts:
        known = f", give or take {amount(file.give_s, 's')}" if file.give_s else ""
        span = f"{time_words(min(firsts), answers)} to {time_words(max(lasts), answers)}{known}"
    how = f" ({plain(file.joined_by, 120)})" if file.joined_by else ""
    skipped = "".join(f"; {plain(text, 200)}" for text in file.skipped)
    return f"{name}: {plain(file.kind, 60)}, {sum(f.events for f in files)} events, {span}{how}{skipped}."


def _base(name: str) -> str:
    return name.replace("\\", "/").rstrip("/").rsplit("/", 1)[-1]


# -- scans before and after --------------------------------------------------------------------------------------------

def _between(page: Page, answers: Answers) -> None:
    for each in answers.between:
        page.blank()
        times = f" ({time_words(each.from_s, answers)} to {time_words(each.to_s, answers)})" if each.to_s else ""
        names = f"{plain(_base(each.before), 60)} and {plain(_base(each.after), 60)}"
        if not each.changes:
            page.say(f"Nothing changed between {names}{times}.", "SCANS", "strong")
            continue
        page.say(f"What changed between {names}{times}.", "SCANS", "strong")
        for change in each.changes:
            page.hang(f"{_placed(change.path, change.part)}{plain(change.words, 300)}", 4, "- ")


def _placed(path: str, part: str | None) -> str:
    if not path:
        return ""
    return f"{plain(part, 64)} ({plain(path, 40)}) " if part is not None else f"{plain(path, 40)} "


# -- places ----------------------------------------------------------------------------------------------------------

def _places(page: Page, answers: Answers) -> None:
    told: list[Counted] = [each for each in answers.counted if each.kind not in HARMLESS]
    harmless = sum(each.count for each in answers.counted if each.kind in HARMLESS)
    names = [*_port_words(answers), *_taken_words(answers)]
    if not told and not answers.ports and not harmless and not names:
        return
    page.blank()
    page.say("What else logs tell of places.", "PLACES", "strong")
    for woe in answers.ports[:MOST_LINES_TOLD]:
        kinds = ", ".join(f"{kind.replace('-', ' ')} {count}" for kind, count in woe.kinds)
        page.hang(f"{plain(woe.part or woe.path)}: did not come up ({kinds})"
                  + (", then did" if woe.settled else ""), 4, "- ")
    for each in told[:MOST_LINES_TOLD]:
        page.hang(f"{_owner(each, answers)}: {COUNT_WORDS[each.kind]}, {counted(each.count, 'time')}", 4, "- ")
    for words in names[:MOST_LINES_TOLD]:
        page.hang(words, 4, "- ")
    if harmless:
        page.hang(f"{counted(harmless, 'reset')} while waking up or right after coming up: harmless", 4, "- ")


def _owner(each: Counted, answers: Answers) -> str:
    """A part, or a place; with a rig it is said that a place is none of its parts."""
    stranger = each.part is None and "-" in each.path and any(part for _, part in answers.seen)
    return plain(each.part or each.path) + ", no part of the rig" * stranger


def _unseen(page: Page, answers: Answers) -> None:
    if not answers.unseen:
        return
    page.blank()
    it = "it" if len(answers.unseen) == 1 else "them"
    strangers = [each.device for each in answers.waits if each.part is None]
    strangers += [each.device for each in answers.known if each.part is None]
    maybe = ""
    if strangers and len(set(strangers)) == 1:
        maybe = f" Device {plain(strangers[0])} of a capture may be {'one of them' if it == 'them' else it}."
    page.say(f"No file shows {listed(answers.unseen)}: nothing is known of {it}, neither good nor bad.{maybe}",
             "NOT SEEN", "strong")


def _port_words(answers: Answers) -> list[str]:
    """The names that serial ports had, each place once."""
    found = []
    for each in answers.port_names:
        names, more = ", then ".join(map(plain, each.names[:MOST_NAMES_TOLD])), len(each.names) - MOST_NAMES_TOLD
        rest = f" and {more} more" if more > 0 else ""
        found.append(f"{plain(each.part or each.path)}: its serial port was {names}{rest}")
    return found


def _taken_words(answers: Answers) -> list[str]:
    return [f"{plain(each.part or each.path)}: {plain(each.program)} took it from its driver {plain(each.driver)}, "
            f"{counted(each.count, 'time')}" for each in answers.taken]


# -- what lines up ----------------------------------------------------------------------------------------------------

def _links(page: Page, answers: Answers) -> None:
    for each in answers.guiding:
        page.blank()
        unit = each.unit or "units of its table"
        largest = max((size for _, size, _ in each.jumps), default=0.0)
        jumps = f", {len(each.jumps)} jumps (largest {largest:.2g} {unit})" if each.jumps else ""
        page.say(f"{plain(_base(each.source), 60)}: {each.frames} guide frames every {amount(each.cadence_s, 's')}; "
                 f"{len(each.late)} late, {len(each.lost)} lost{jumps}.", "GUIDING", "strong")
    if answers.links:
        page.blank()
        asked = answers.links[0].questions
        page.say(f"{counted(asked, 'question')} asked; every chance is corrected for that." if asked else
                 "Nothing could be asked.", "LINED UP", "strong")
        for link in answers.links:
            page.hang(_link(link), 4, "- ")


def _nights(page: Page, answers: Answers) -> None:
    for each in answers.nights:
        page.blank()
        page.say(f"In {each.hits} of {each.nights} nights something left the bus at {CLOCK_WORDS[each.clock]}, "
                 f"{clock_text(each)}, within {amount(each.spread_s / 60.0, 'min')}. By chance: {each.p:.2g}."
                 + (f" {' and '.join(CLOCK_WORDS[c] for c in each.alike).capitalize()} fits these nights as well."
                    if each.alike else ""), "NIGHTS", "strong")


def clock_text(found: OverNights) -> str:
    """Where on its clock, as a person reads it: 02:10, or 2 h 10 min after the start."""
    minutes = round(found.at_s / 60.0)
    if found.clock == "clock-hour":
        return f"about {minutes // 60 % 24:02d}:{minutes % 60:02d}"
    return f"{minutes // 60} h {minutes % 60:02d} min" + (" after it" if found.clock == "since-start" else " of it")


def _glitches(count: int) -> str:
    return "1 glitch" if count == 1 else f"{count} glitches"


def _link(link: Link) -> str:
    what = f"{GLITCH_WORDS[link.glitch]} with {CAUSE_WORDS[link.cause]}"
    figures = (f"{link.hits} of {link.count} ({percent(link.low)} to {percent(link.high)}), by chance "
               f"{link.expected:.1f}; chance of that {link.p:.2g}")
    if link.verdict == "not-enough":
        return f"Not enough to tell: {what}: {_glitches(link.count)}, {link.needed} needed."
    if link.verdict == "cannot-decide":
        if link.why == "even":
            if link.cause == "download":
                return (f"Cannot decide: {what}: {figures}. Exposures are so even that anything that happens once a "
                        "frame would look the same. An hour with uneven exposures (say 110, 120, 135 s) decides.")
            return (f"Cannot decide: {what}: {figures}. They come so evenly that anything of that rhythm would look "
                    "the same. An hour in which they come unevenly decides.")
        return (f"Cannot decide: {what}: the clocks are known to {amount(link.give_s, 's')} only, too coarse for this "
                "cadence.")
    if link.verdict == "not-seen":
        return f"No link seen: {what}: {figures}. At most {percent(link.bound)} of them can come from there."
    delay = f", {amount(link.delay_s, 's')} after its start" if link.delay_s is not None else ""
    also = f" At the same times: {', '.join(CAUSE_WORDS[c] for c in link.overlaps)}." if link.overlaps else ""
    if link.verdict == "shown":
        return f"Shown: {what}: {figures}{delay}.{also}"
    return f"Possible: {what}: {figures}{delay}. Anything that happens once a frame would look the same.{also}"


def _refuted(page: Page, answers: Answers) -> None:
    if not answers.refuted:
        return
    page.blank()
    page.say("What the evidence speaks against.", "RULED OUT", "strong")
    words = {"plug": "plug or cable of", "supply": "supply or uplink of", "sharing": "sharing with downloads",
             "data-path": "data path of", "reservation": "bandwidth reservations", "controller": "controller",
             "host": "computer too busy"}
    alike: dict[tuple[str, str, str], list[str]] = {}
    for each in answers.refuted:
        names = alike.setdefault((each.cause, each.because, each.limit), [])
        names += [name] if (name := plain(_base(each.part))) not in names else []
    for (cause, because, limit), names in alike.items():
        page.hang(f"{words[cause]} {', '.join(n for n in names if n)}".rstrip() + f": {plain(because, 300)}; "
                  f"{plain(limit, 200)}.", 4, "- ")


def remarks(told: EvidenceReport) -> tuple[str, ...]:
    """What the evidence says beside its findings, a sentence each: files, what lines up, what is refuted."""
    page = Page(10_000)
    tell_computer(page, told.answers)
    _unseen(page, told.answers)
    _links(page, told.answers)
    _refuted(page, told.answers)
    files = [_file([file], told.answers) for file in told.answers.files[:MOST_LINES_TOLD]]
    lines = ["".join(text for text, _ in line).strip() for line in page.lines]
    return tuple(f"Evidence: {line.removeprefix('- ')}" for line in (*files, *lines) if line)


@frozen
class MeasuredFact:
    """A fact for the rig file: part, key (`seen.interval_s` for one of a mapping), value, and where it was measured."""

    part: str
    key: str
    value: float
    source: str


def facts_to_write(answers: Answers) -> list[MeasuredFact]:
    """Facts that were measured and may stand in the rig file, to three digits, each once: that of most frames."""
    found: dict[tuple[str, str], Known] = {}
    for each in answers.known:
        if each.fact and each.part is not None:
            old = found.get((each.part, each.fact))
            if old is None or each.count > old.count:
                found[(each.part, each.fact)] = each
    return [MeasuredFact(part, fact, float(f"{each.value[1]:.3g}"), f"USB capture{_of_day(each, answers)}")
            for (part, fact), each in sorted(found.items())]


def _of_day(each: Known, answers: Answers) -> str:
    """The day on which a figure was measured, as far as its clock tells one."""
    if each.at_s is None or answers.axis not in ("utc", "local"):
        return ""
    return f" of {time_words(each.at_s, answers).split()[0]}"
