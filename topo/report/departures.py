"""Who left the bus, when and for how long, as lines of text; and what the computer itself went through."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from topo.model.figures import amount
from topo.model.plain import plain
from topo.report.page import Column, Page
from topo.words.lists import counted

if TYPE_CHECKING:
    from topo.model.answers import Answers, Away, ComputerEvent, DropGroup

MOST_DEPARTURES_TOLD = 12
MOST_HAPPENINGS_TOLD = 12
LEAST_FOR_QUIET = 3
QUIET_SHARE = 0.25
"""So much of the time that a log covers without a departure is worth saying."""


def time_words(seconds: float, answers: Answers) -> str:
    """A time on the common clock as a person reads it."""
    if answers.axis in ("utc", "local") and 0 <= seconds < 4e9:
        return (datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)).strftime("%Y-%m-%d %H:%M:%S")
    return f"{seconds:.3f} s"


def _when(drop: Away, answers: Answers) -> str:
    if math.isfinite(drop.give_s):
        return time_words(drop.at_s, answers)
    return f"{drop.own_s:.3f} s of {drop.clock}"


def tell_departures(page: Page, answers: Answers) -> None:
    """Who left and when; and what the computer itself went through."""
    _departures(page, answers)
    tell_computer(page, answers)


def _departures(page: Page, answers: Answers) -> None:
    real = [group for group in answers.groups if not group.drops[0].asleep]
    slept = len(answers.groups) - len(real)
    if not answers.groups:
        if answers.covered is not None:
            page.blank()
            page.say(f"None, from {time_words(answers.covered[0], answers)} to "
                     f"{time_words(answers.covered[1], answers)}, which a log covers.", "DROPPED", "strong")
        return
    page.blank()
    sleepy = f"{counted(slept, 'departure')} belong{'s' * (slept == 1)} to the computer going to sleep."
    if not real:
        page.say(f"Nothing, while the computer was awake. {sleepy}", "DROPPED", "strong")
        return
    times = "Once" if len(real) == 1 else f"{len(real)} times"
    page.say(f"{times} something left the bus.{_quiet(real, answers)}" + (f" {sleepy}" if slept else ""), "DROPPED",
             "strong")
    rows = [_group(group, answers) for group in real[:MOST_DEPARTURES_TOLD]]
    page.table((Column("when"), Column("left", most=30), Column("in common"), Column("away", right=True)), rows)
    if len(real) > MOST_DEPARTURES_TOLD:
        page.hang(f"and {len(real) - MOST_DEPARTURES_TOLD} more; --json tells all", 4, "- ")


def _quiet(groups: list[DropGroup], answers: Answers) -> str:
    """How long nothing left before the first departure, where that is a good part of what a log covers."""
    at = [group.drops[0].at_s for group in groups if math.isfinite(group.drops[0].give_s)]
    if answers.covered is None or len(at) < len(groups) or len(groups) < LEAST_FOR_QUIET:
        return ""
    begin, end = answers.covered
    quiet = min(at) - begin
    if quiet <= QUIET_SHARE * (end - begin):
        return ""
    minutes = round(quiet / 60)
    return f" Before the first, {minutes // 60} h {minutes % 60:02d} min passed without."


def _group(group: DropGroup, answers: Answers) -> list[str]:
    names = list(dict.fromkeys(plain(drop.name) for drop in group.drops if "-" in drop.path))
    shown = ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
    if group.kind == "branch" and len(names) > 2:
        shown = f"{names[0]} and {len(names) - 1} below"
    away = [drop.away_s for drop in group.drops if drop.away_s is not None]
    still = len(away) < len(group.drops)
    lasted = ("still gone" if still else "") if not away else amount(max(away), "s") + (", some still gone" * still)
    return [_when(group.drops[0], answers), shown or "a controller", _common(group), lasted]


def _common(group: DropGroup) -> str:
    name = plain(group.common_part or group.common)
    words = {
        "one": f"itself alone{f', {len(group.stayed)} neighbours stayed' if group.stayed else ''}",
        "branch": f"{name} and all below", "siblings": f"{name}, which stayed",
        "controller": f"a whole controller {plain(group.controller)}".rstrip(), "apart": "nothing but the computer",
    }[group.kind]
    if group.both_sides is False:
        words += "; one side of it only"
    return words + ("; it failed in stages" if group.staged else "")


# -- the computer -----------------------------------------------------------------------------------------------------

def tell_computer(page: Page, answers: Answers) -> None:
    """Sleep, new starts and clocks that were set, which explain what would look like a fault."""
    if not answers.happenings:
        return
    page.blank()
    page.say("What the computer itself went through.", "COMPUTER", "strong")
    for each in answers.happenings[:MOST_HAPPENINGS_TOLD]:
        page.hang(_happening(each, answers), 4, "- ")
    if len(answers.happenings) > MOST_HAPPENINGS_TOLD:
        page.hang(f"and {len(answers.happenings) - MOST_HAPPENINGS_TOLD} more; --json tells all", 4, "- ")


def _happening(each: ComputerEvent, answers: Answers) -> str:
    at = "at a time that cannot be joined" if each.at_s is None else f"at {time_words(each.at_s, answers)}"
    where = f"({plain(each.file.replace(chr(92), '/').rsplit('/', 1)[-1], 60)}, line {each.line})"
    if each.kind == "slept":
        woke = "the log ends in it" if each.until_s is None else f"awake again at {time_words(each.until_s, answers)}"
        return f"It went to sleep {at}; {woke} {where}."
    if each.kind == "started-again":
        return f"It started again {at}; what came up then came up anew, and did not drop {where}."
    if each.seconds is None:
        return f"Its clock was set {at}, nobody tells by how much {where}."
    way = "forward" if each.seconds > 0 else "back"
    summer = ", as at a change of summer time" if abs(abs(each.seconds) - 3600) < 10 else ""
    if each.at_s is not None:
        at = f"from {time_words(each.at_s, answers)} to {time_words(each.at_s + each.seconds, answers)}"
    return (f"Its clock went {way} by {amount(abs(each.seconds), 's')} {at}{summer}; times before that are in doubt by "
            f"as much {where}.")
