"""Late or lost guide frames, jumps of the guide error or drops off the bus line up with what the rig did.

Two tests must agree, each worked out in full: all glitches shifted together round the session, and those of each
download cycle shifted within it. The chance is corrected for every question asked. A schedule that is strictly even
cannot decide: whatever happens once in a frame would look the same. Things that happen together (a dither after each
download) cannot be told apart, and are named.

A risk: certain where the corrected chance is below one in a thousand, else possible.

Wrong if the glitches go on at other times in a night with uneven exposures, or with the other thing paused.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.evidence_cases import NIGHT_RIG, tables
from topo.model.answers import CAUSE_WORDS, GLITCH_WORDS
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix

if TYPE_CHECKING:
    from topo.model.answers import HeldEvidence, Link
    from topo.model.rig import Part

SURE_LEVEL = 0.001
APART = (
    "By the rig file downloads fill no link that the guide camera needs. See first that it is plugged in as the file "
    "says (`topo compare`). If it is, look at the computer while a picture comes in: saving, other programs, the "
    "camera's driver."
)
"""What to do where the plan does not explain what the night showed."""
TODO = {
    "download": "By the rig file guiding and downloads share a link: put the guide camera on another one, or lower the "
                "main camera's transfer limit, and look again.",
    "dither": "Ask for a longer settling time, and see whether guiding starts before the mount stands.",
    "slew": "Look at cables that move with the mount, and at its volts while it slews.",
    "focus": "Plug the focuser in elsewhere, and look at how often it is asked.",
    "filter": "Plug the filter wheel in elsewhere, and look at its cable.",
    "other": "Look at what else happened in those seconds.",
}


def find(held: HeldEvidence) -> Iterator[Finding]:
    """One finding for each link that is shown."""
    rig = held.study.rig
    guide: Part = next((part for part in rig.devices if part.role == "guiding"), rig.computer)
    for link in held.answers.links:
        if link.verdict == "shown":
            yield Finding(
                "glitches-line-up", "risk", "certain" if link.p <= SURE_LEVEL else "possible", guide.id, guide.place,
                _message(link), _figures(link),
                "a night with uneven exposures, or with the other thing paused, has them elsewhere",
                Fix(APART if link.cause == "download" and not _shared(held, guide) else TODO[link.cause]),
            )


def _shared(held: HeldEvidence, guide: Part) -> bool:
    """Whether downloads hold a frame of the guide camera up by the plan, at some end of what is uncertain."""
    outcome = next((each for each in held.study.devices if each.id == guide.id), None)
    return outcome is not None and outcome.delay_last_s is not None and outcome.delay_last_s.high > 0


def _message(link: Link) -> str:
    also = f" So do {' and '.join(CAUSE_WORDS[c] for c in link.overlaps)}, at the same times." if link.overlaps else ""
    glitches = GLITCH_WORDS[link.glitch].capitalize()
    return f"{glitches} line up with {CAUSE_WORDS[link.cause]}, more than chance allows.{also}"


def _figures(link: Link) -> tuple[Figure, ...]:
    figures = [
        Figure("hits", f"{link.hits} of {link.count}", "", "measured"),
        Figure("hits by chance alone", round(link.expected, 1), "hits", "measured"),
        Figure("chance of that, corrected", float(f"{link.p:.2g}"), "", "measured"),
        Figure("questions asked", link.questions, "questions", "measured"),
    ]
    if link.delay_s is not None:
        figures.append(Figure("after its start, median", round(link.delay_s, 2), "s", "measured"))
    return tuple(figures)


CHECK = Check(
    name="glitches-line-up",
    summary="late or lost guide frames, jumps or drops off the bus line up with what the rig did",
    tested_by="`topo chase RIG --symptom guide-late` finds what is to blame, test by test",
    explanation=__doc__,
    severities=("risk",),
    find=find,
    needs="evidence",
    cases=(
        Case("late at two of three downloads", NIGHT_RIG, 1, evidence=tables(True)),
        Case("late at other times", NIGHT_RIG, 0, evidence=tables(False)),
        Case("late at downloads, each frame alike", NIGHT_RIG, 0, evidence=tables(True, uneven=False)),
    ),
)
