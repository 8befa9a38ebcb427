"""What the evidence of a night says, for a post: counts, places in the tree and minutes since the first event.

Only words of this file, figures and the new names of parts come out: no line of a log, no file's name, no time of day.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from topo.evidence.clocks import offset_named
from topo.frozen import replace
from topo.live.holders import SERVICES
from topo.model.answers import CAUSE_WORDS, GLITCH_WORDS
from topo.model.evidence import Claimed, ControllerNote
from topo.model.figures import amount, percent
from topo.pack.removed import Removed
from topo.pack.scan import DRIVERS
from topo.pack.watched import MOST_PARTS_TOLD, STRANGER
from topo.words.lists import counted, listed

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from topo.evidence.open import Source
    from topo.model.answers import Answers, Away, DeclaredTimes, DropGroup, Link
    from topo.model.evidence import EvidenceEvent

WENT_THROUGH = {"slept": "slept", "started-again": "started again", "clock-set": "had its clock set"}
PROGRAM = "another program"
CONTROLLER = re.compile(
    r"[0-9a-f]{4}:[0-9a-f]{2}:[0-9a-f]{2}\.[0-7]|[0-9a-f]{4,16}\.(usb|xhci)|xhci-hcd\.\d{1,2}\.auto")
"""Controllers as the system numbers them; any other name is left out."""
KINDS_READ = ("kernel log", "USB capture", "FITS header", "table of guiding", "table of frames", "table of actions",
              "watch log", "saved scan")
VERDICT_NAMES = {"shown": "shown", "possible": "possible", "not-seen": "no link seen", "cannot-decide": "cannot decide",
                 "not-enough": "not enough to tell"}
CAUSES_AGAINST = {"plug": "a plug or cable that let go", "supply": "a shared supply or uplink",
                  "sharing": "sharing with downloads", "data-path": "the data path", "host": "a busy computer",
                  "reservation": "bandwidth reservations", "controller": "the controller"}


def renamed(sources: Sequence[Source], names: Mapping[str, str], removed: Removed) -> tuple[Source, ...]:
    """The sources with the rig's names in them changed as in the redacted rig, and counted as what is not shown."""
    found = []
    for number, source in enumerate(sources, 1):
        removed.count("paths of files")
        reading = source.reading
        if reading is not None:
            removed.count("lines of the log", len(reading.events))
            removed.count("times", len(reading.events))
            kept = tuple((place, names[name]) for place, name in reading.names if name in names)
            reading = replace(reading, names=kept, events=tuple(_nameless(each, removed) for each in reading.events))
        found.append(replace(source, name=new_name(number), reading=reading, problem="not read" * bool(source.problem)))
    return tuple(found)


def _nameless(event: EvidenceEvent, removed: Removed) -> EvidenceEvent:
    """An event without names that a log made up: of programs but for services everybody has, drivers, controllers."""
    if isinstance(event, Claimed):
        removed.count("names of programs", event.program not in SERVICES)
        return replace(event, program=event.program if event.program in SERVICES else PROGRAM,
                       driver=event.driver if event.driver in DRIVERS else "other")
    if isinstance(event, ControllerNote) and event.controller and not CONTROLLER.fullmatch(event.controller):
        return replace(event, controller="")
    return event


def times_renamed(times: DeclaredTimes, sources: Sequence[Source]) -> DeclaredTimes:
    """What was said of times with the names that `renamed` gives the files."""
    offsets = dict(times.offsets)
    found = []
    for number, source in enumerate(sources, 1):
        told = offset_named(offsets, source.name)
        found += [] if told is None else [(new_name(number), told)]
    return replace(times, offsets=tuple(found))


def new_name(number: int) -> str:
    """What a pack calls the file of that number, from 1."""
    return f"file-{number}"


def night_lines(answers: Answers) -> list[str]:
    """Lines for the post. `answers` are held against the redacted rig, so their part names are the new ones."""
    read = [next((kind for kind in KINDS_READ if file.kind.startswith(kind)), "other") for file in answers.files
            if not file.problem]
    counts = ", ".join(f"{read.count(kind)} {kind}" for kind in dict.fromkeys(read)) or "none that can be read"
    lines = [f"Evidence of a night: {counts}"]
    real = [group for group in answers.groups if not group.drops[0].asleep]
    start = next((group.at_s for group in real), 0.0)
    lines += [f"- {_dropped(group, start)}" for group in real[:MOST_PARTS_TOLD]]
    if len(real) > MOST_PARTS_TOLD:
        lines.append(f"- and {len(real) - MOST_PARTS_TOLD} more departures")
    if not real and answers.covered is not None:
        lines.append(f"- nothing dropped in {(answers.covered[1] - answers.covered[0]) / 60:.0f} min that a log covers")
    computer = [each.kind for each in answers.happenings]
    if computer:
        told = (f"{WENT_THROUGH[kind]} {counted(computer.count(kind), 'time')}" for kind in dict.fromkeys(computer))
        lines.append(f"- the computer itself {', '.join(told)}")
    if answers.unseen:
        lines.append(f"- in no file, so nothing is known of them: {listed(answers.unseen)}")
    for each in answers.guiding:
        lines.append(f"- guide frames: {each.frames}, one each {amount(each.cadence_s, 's')}; {len(each.late)} late, "
                     f"{len(each.lost)} lost, {len(each.jumps)} jumps")
    lines += [f"- {_link(link)}" for link in answers.links[:MOST_PARTS_TOLD]]
    against = dict.fromkeys(CAUSES_AGAINST[each.cause] for each in answers.refuted)
    if against:
        lines.append(f"- the evidence speaks against: {', '.join(against)}")
    return lines


def _dropped(group: DropGroup, start: float) -> str:
    known = list(dict.fromkeys(drop.part for drop in group.drops if drop.part))
    strangers = len({drop.path for drop in group.drops if not drop.part})
    who = [*known, *([f"{STRANGER} ({strangers})"] if strangers else [])]
    minutes = f", {(group.at_s - start) / 60:.0f} min after the first" if math.isfinite(group.drops[0].give_s) else ""
    return f"dropped within one second: {', '.join(who)}{minutes}; {_back(group.drops)}"


def _back(drops: Sequence[Away]) -> str:
    away = [drop.away_s for drop in drops if drop.away_s is not None]
    return f"back after {amount(max(away), 's')}" if len(away) == len(drops) and away else "not all came back"


def _link(link: Link) -> str:
    what = f"{GLITCH_WORDS[link.glitch]} with {CAUSE_WORDS[link.cause]}: {VERDICT_NAMES[link.verdict]}"
    return f"{what}; {link.hits} of {link.count}, by chance {link.expected:.1f}, chance of that {percent(link.p)}"
