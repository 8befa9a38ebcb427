"""A chase as lines of text: suspects with bars, the one test to do now, why, and what each outcome would leave.

Made for dim red light: bars are characters, words say everything, nothing rests on a colour.
"""

from __future__ import annotations

import shlex
from collections.abc import Sequence

from topo.chase import kinds
from topo.chase.ending import Ending, ranked
from topo.chase.follow import Branch, ChaseStep, fixes_of, mended_by, reliefs_of
from topo.chase.heard import NO_FINDINGS, Heard, heard
from topo.chase.score import Prospect
from topo.chase.things import THINGS
from topo.chase.words import BAR, UNLIKELY, bar, minutes, named, outcome_said, percent, typed
from topo.model.cautions import CAUTIONS
from topo.model.chase import GOES, MOVES, STAYS, Test
from topo.model.plain import plain
from topo.report.lines import Line, pad
from topo.report.page import GUTTER, Page
from topo.words.lists import capital

LEFT = 0.1
"""Suspects from this chance on are named where an outcome is told."""
BESIDE = 0.25
"""Suspects from this chance on are told beside a name: two faults at once."""
LONG_MIN = 120.0
"""Minutes of watching from which the advice says how to shorten or use them."""


def chase_lines(
    step: ChaseStep, rig_file: str, width: int = 80, encoding: str = "utf-8", remedies: Sequence[str] = ()
) -> list[Line]:
    """The step as lines of at most `width` cells. `remedies` are what checks advise for those found at the end."""
    page = Page(width, encoding)
    _tell_head(page, step)
    _tell_suspects(page, step)
    if step.ended is None:
        _tell_test(page, step, rig_file)
    else:
        _tell_end(page, step, rig_file, remedies)
    _tell_tried(page, step)
    _tell_cautions(page, step)
    return page.lines


def _tell_head(page: Page, step: ChaseStep) -> None:
    seen = "; ".join(symptom.words for symptom in step.symptoms)
    page.say(f"{capital(seen)}: {', '.join(map(plain, step.victims))}.", "CHASE", "strong", "strong")
    often = f"How often: {step.rhythm.said}" + ("" if step.said.every else " (assumed; say it with --every)")
    page.say(f"{plain(step.rig.name)}. {often}. Tests done: {len(step.answers)}.")
    for number, text in enumerate(dict.fromkeys(_told(heard(each)) for each in step.said.told)):
        page.say(text, "" if number else "TOLD", "strong")


def _told(each: Heard) -> str:
    """One thing that a scan or log told."""
    parts = ", ".join(map(plain, each.parts))
    if each.name in NO_FINDINGS:
        return capital(NO_FINDINGS[each.name]) + (f": {parts}." if parts else ".")
    return f"{each.name}: {parts} (`topo explain {each.name}`)."


def _tell_suspects(page: Page, step: ChaseStep) -> None:
    page.blank()
    order = ranked(step.belief)
    shown = [(group, chance) for group, chance in order if chance >= UNLIKELY] or order[:1]
    for number, (group, chance) in enumerate(shown):
        mark = f"{pad('' if number else 'SUSPECTS', GUTTER)}{percent(chance)} {pad(bar(chance), BAR)} "
        page.hang(named(step.case, group), len(mark), mark)
    rest = len(order) - len(shown)
    if rest:
        page.say(f"and {rest} more with less than {UNLIKELY * 100:.0f} of 100 each")
    if sum(int(percent(chance)[:2]) for _, chance in shown) > 100:
        page.say("Two can be at fault at once, so these add up to more than 100.")


def _tell_test(page: Page, step: ChaseStep, rig_file: str) -> None:
    option = step.choice.option
    assert option is not None
    test = step.case.tests[option.number]
    page.blank()
    page.say(_before(step, option, test) + plain(test.words, 600), "DO NOW", "strong", "strong")
    if not test.is_look:
        page.say(watch_words(step, option, test))
    if test.caution:
        page.say(f"Mind: {plain(test.caution)}")
    page.say(why(step, option, test), "WHY", "strong")
    _tell_wait(page, step, option, test)
    page.blank()
    for branch in step.branches:
        page.say(left(step, branch), outcome_words(test, branch.outcome).upper(), "strong")
    page.say(say_so(rig_file, test), "THEN TYPE", "strong")
    page.say(f"Where it cannot be done: --cannot {shlex.quote(plain(test.key))}. --undo takes an answer back.")


def _before(step: ChaseStep, option: Prospect, test: Test) -> str:
    """What goes before the words of a test: that it stands already, or that the last one has to be undone first."""
    if test.is_look:
        return ""
    if option.number != step.belief.standing:
        changes = [a.test for a in step.answers if not step.case.tests[step.case.number(a.test)].is_look]
        return "Put back first what the last test changed. " if changes and changes[-1] != test.key else ""
    return "Leave it so and watch on: " if step.answers[-1].outcome == GOES else "Once more, to be sure: "


def watch_words(step: ChaseStep, option: Prospect, test: Test) -> str:
    """How long to watch, and whom."""
    whom = ", ".join(map(plain, test.watch))
    if step.rhythm.steady:
        return f"Then look whether {whom} still shows the trouble."
    text = f"Then watch {whom} for {minutes(option.wait)}, or until the trouble shows"
    if test.watch != step.victims:
        text += "; what the others do does not count"
    return f"{text}. `topo watch` notes drops with their times meanwhile."


def why(step: ChaseStep, option: Prospect, test: Test) -> str:
    """What the test splits, and what it costs."""
    shares = sorted((round(100 * share) for share in option.shares), reverse=True)
    text = f"It splits {' to '.join(map(str, shares))}; about {minutes(option.cost)} in all, waiting counted."
    if not test.is_look and not step.rhythm.steady:
        quiet = step.rhythm.quiet(option.wait * test.pace)
        text += (
            f" Silence for so long comes by chance {100 * quiet:.0f} times in 100 though nothing is mended; "
            f"{minutes(step.rhythm.wait() / test.pace)} would make it 5. A shorter wait counts for what it is."
        )
    return text


def _tell_wait(page: Page, step: ChaseStep, option: Prospect, test: Test) -> None:
    if test.is_look or option.wait < LONG_MIN:
        return
    if test.lost == 0.0:
        page.say("The night goes on meanwhile: leave it so and image.")
    if step.rhythm.wait() > 480.0:
        page.say("Trouble this rare takes more than a night of silence to be sure of, whatever is tested.")


def left(step: ChaseStep, branch: Branch) -> str:
    """What an outcome would leave, the likeliest first."""
    kept = [(group, chance) for group, chance in branch.left if chance >= LEFT] or [branch.left[0]]
    told = "; ".join(f"{named(step.case, group)} ({percent(chance).strip()})" for group, chance in kept[:4])
    more = f"; and {len(kept) - 4} more" if len(kept) > 4 else ""
    return f"({percent(branch.chance).strip()}) leaves {told}{more}."


def outcome_words(test: Test, outcome: str) -> str:
    """An outcome in one word."""
    return {STAYS: "if seen", MOVES: "if moved", GOES: "if gone"}.get(outcome, outcome)


def say_so(rig_file: str, test: Test) -> str:
    """What to type: the whole command for the first outcome, what differs for the others."""
    words = [typed(outcome) for outcome in test.outcomes]
    others = f"{', '.join(words[1:-1])}{' or ' if words[1:-1] else ''}{words[-1]}"
    less = "" if test.is_look else "; no:7 after 7 quiet minutes"
    return f"topo chase {shlex.quote(plain(rig_file, 400))} --saw {words[0]} (or {others}{less})"


def _tell_end(page: Page, step: ChaseStep, rig_file: str, remedies: Sequence[str]) -> None:
    end = step.ended
    assert end is not None
    page.blank()
    if end.named:
        page.say(f"It is {named(step.case, end.groups[0])} ({percent(end.chance).strip()}).", "FOUND", "strong",
                 "strong")
        for text in reliefs_of(step.case, end.groups[0]):
            page.say(text)
        for group, chance in ranked(step.belief)[1:]:
            if chance >= BESIDE:
                page.say(f"Perhaps not alone: {named(step.case, group)} may be at fault as well "
                         f"({percent(chance).strip()}).")
    else:
        _tell_set(page, step, end)
    for group in end.groups:
        for fix in fixes_of(step.case, group):
            page.say(fix, "DO" if group == end.groups[0] else "OR", "strong")
    for text in remedies:
        page.say(plain(text, 600), "CHECK SAYS", "strong")
    again = minutes(step.rhythm.wait())
    key = mended_by(step)
    back = "begin anew with --new" if key is None else f"say --saw {plain(key)}=yes, and the chase goes on"
    page.say(f"Once it is mended, watch {', '.join(map(plain, step.victims))} for {again}: only then is it gone in 95 "
             f"of 100. If it comes back, {back}; `topo check {plain(rig_file, 400)}` and "
             "`topo rewire` say what the rig itself would be better for.", "BE SURE", "strong")


def _tell_set(page: Page, step: ChaseStep, end: Ending) -> None:
    """Several that are left: why no name, and what would tell them apart."""
    each = "; ".join(named(step.case, group) for group in end.groups)
    further, together = step.choice.further, percent(end.chance).strip()
    if further is None:
        page.say(f"Nothing at hand tells these apart: {each} ({together} together).", "FOUND", "strong", "strong")
    else:
        test = step.case.tests[further.number]
        page.say(f"It is one of these: {each} ({together} together).", "FOUND", "strong", "strong")
        page.say(f"To tell them apart would take long. What tells most for its time is this, {minutes(further.cost)} "
                 f"each time: {plain(test.words, 600)} Say what it showed with --saw, and the chase goes on.")
    if step.borrow:
        things = " and ".join(THINGS[need] for need in step.borrow)
        page.say(f"Borrow or buy {things}: that would tell most. Then add --have {' --have '.join(step.borrow)}.")


def _tell_tried(page: Page, step: ChaseStep) -> None:
    if not step.answers:
        return
    page.blank()
    for number, answer in enumerate(step.answers):
        test = step.case.tests[step.case.number(answer.test)]
        watched = f", {minutes(answer.minutes)}" if answer.minutes and answer.outcome == GOES else ""
        page.say(f"{plain(test.words)} {outcome_said(answer.outcome)}{watched}.", "" if number else "TRIED", "strong")


def _tell_cautions(page: Page, step: ChaseStep) -> None:
    """The cautions, wherever power is touched or named."""
    option, end = step.choice.option, step.ended
    touched = option is not None and step.case.tests[option.number].effort == "power"
    named_ = [place for group in (end.groups if end else ()) for place in group]
    if touched or any(kinds.KIND_OF[step.case.suspects[place].kind].power for place in named_):
        page.blank()
        for index, text in enumerate(CAUTIONS):
            page.say(text, "POWER" if index == 0 else "", "strong")
