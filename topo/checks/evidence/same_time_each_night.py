"""Night after night something leaves the bus at the same hour, time after the start, or position of the mount.

What comes at a clock hour has a clock: a scheduled job, a backup, an update, a lamp or a heater on a timer, a camera
that changes between day and night. What comes so long after the start has filled up, warmed up or idled: a disk,
memory, power saving, a battery. What comes four minutes earlier each night follows the sky: the mount points where it
pointed, and a cable pulls. The test is worked out in full and corrected for all it tried; it needs three nights, and
nights that lie further apart, with other starts, to tell the three from each other.

A risk: certain where chance gives less than one in a thousand and no other clock fits, else possible.

Wrong if a night comes without it, with nothing changed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.evidence_cases import NIGHT_RIG, watched_nights
from topo.model.answers import CLOCK_WORDS
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix

if TYPE_CHECKING:
    from topo.model.answers import HeldEvidence, NightClock

SURELY = 0.001
TODO: dict[NightClock, str] = {
    "clock-hour": "Look what the computer, the house and the rig do at that hour: scheduled jobs, backups, updates, "
                  "timers of heaters and lamps. Move one by an hour, and see whether the trouble moves with it.",
    "since-start": "Look at what fills up, warms up or falls asleep: free disk and memory, power saving, the battery. "
                   "Start an hour earlier, and see whether the trouble comes an hour earlier.",
    "attitude": "Move the mount to that position in daylight, and look at each cable that runs over its axes (`sits:` "
                "in the file counts them). `topo chase` takes it from there: at-one-attitude.",
}


def find(held: HeldEvidence) -> Iterator[Finding]:
    """One finding for what comes again."""
    for each in held.answers.nights:
        computer = held.study.rig.computer
        also = f"; {' and '.join(CLOCK_WORDS[clock] for clock in each.alike)} fits as well" if each.alike else ""
        yield Finding(
            "same-time-each-night", "risk", "certain" if each.p < SURELY and not each.alike else "possible",
            computer.id, computer.place,
            f"In {each.hits} of {each.nights} nights something left the bus at {CLOCK_WORDS[each.clock]}{also}.",
            (
                Figure("nights", each.nights, "", "measured"),
                Figure("of them at that time", each.hits, "", "measured"),
                Figure("within", each.spread_s, "s", "measured"),
                Figure("chance of that", each.p, "", "measured"),
            ),
            "a night on which it does not come, with nothing changed",
            Fix(TODO[each.clock]),
        )


CHECK = Check(
    name="same-time-each-night",
    summary="something leaves the bus at the same time night after night",
    tested_by="`topo chase RIG --symptom drops` tells whether it happens at one position of the mount",
    explanation=__doc__,
    severities=("risk",),
    symptoms=("fails at the same time every night", "fails so long after the start"),
    find=find,
    needs="evidence",
    cases=(
        Case("at ten past two in four nights", NIGHT_RIG, 1, evidence=watched_nights((250, 251, 249, 250))),
        Case("at any time", NIGHT_RIG, 0, evidence=watched_nights((250, 30, 400, 120))),
        Case("two nights only", NIGHT_RIG, 0, evidence=watched_nights((250, 251))),
    ),
)
