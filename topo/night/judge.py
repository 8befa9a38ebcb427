"""From what a night costs to how severe it is: one currency, wider stars while a shutter is open.

All limits are our own proposal, no source: 5 % along one axis costs 5 % of the night in depth, and is at the edge of
what a change of seeing within an hour hides; 1 % is the scatter of star noise, and about what the download costs by
keeping the shutter closed. `certain` only where it holds at both ends of everything assumed.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.night.screen import NOTHING

if TYPE_CHECKING:
    from topo.model.finding import Certainty, Severity
    from topo.model.night import Cost
    from topo.model.outcome import Lost
    from topo.night.cost import CornerName

SEEN = 0.05
"""Wider by this: the loss shows."""

PLAIN = 0.10
"""The middle picture wider by this: it shows in every second picture."""

ROUND = 0.42
"""Eccentricity below which stars look round (common practice, no source)."""

OUT_OF_ROUND = 0.03
"""What sharing has to add to an eccentricity that passes `ROUND`: a hair's breadth is no reason (own proposal)."""

FEW = 1 / 20
HALF = 1 / 2


@frozen
class Waits:
    """The longest wait for a guide frame past its exposure, seconds, at the mild and the harsh end; when a program
    gives up waiting, at the earliest and the latest; whether frames are lost, and whether some never come at each end.
    """

    mild_s: float
    harsh_s: float
    earliest_s: float
    latest_s: float
    lost: Lost
    never_mild: bool
    never_likely: bool
    never_harsh: bool


def judge(waits: Waits, costs: Mapping[CornerName, Cost]) -> tuple[Severity | None, Certainty, str]:
    """Severity (None: this is not it), certainty, and the rule that decided in a word. `costs` by corner; may be empty
    where a screen has shown that widening stays below 1 %."""
    if waits.never_mild:
        return "fault", "certain", "never"
    if waits.mild_s > waits.latest_s:
        return "fault", "certain", "time-out"
    if waits.lost == "certain":
        return "fault", "certain", "lost"
    # The harsh corner is asked first: where it shows nothing, the others are not worth their simulation.
    shows = bool(costs) and (costs["harsh"].widening_most >= SEEN or costs["harsh"].spoiled >= FEW)
    if shows and costs["mild"].widening_most >= SEEN:
        return "fault", "certain", "widening"
    if waits.never_likely:
        return "fault", "possible", "never"
    if shows and (costs["likely"].widening >= PLAIN or costs["likely"].spoiled >= HALF):
        return "fault", "possible", "widening"
    return _risk(waits, costs) or _note(costs)


def _risk(waits: Waits, costs: Mapping[CornerName, Cost]) -> tuple[Severity | None, Certainty, str] | None:
    if waits.never_harsh:
        return "risk", "possible", "never"
    if waits.harsh_s > waits.earliest_s:
        return "risk", "possible", "time-out"
    if waits.lost == "possible":
        return "risk", "possible", "lost"
    if not costs:
        return None
    harsh = costs["harsh"]
    if harsh.widening_most >= SEEN:
        return "risk", "possible", "widening"
    if harsh.eccentricity_with > ROUND >= harsh.eccentricity_without <= harsh.eccentricity_with - OUT_OF_ROUND:
        return "risk", "possible", "eccentricity"
    if harsh.spoiled >= FEW:
        return "risk", "possible", "spoiled"
    return None


def _note(costs: Mapping[CornerName, Cost]) -> tuple[Severity | None, Certainty, str]:
    if not costs or costs["harsh"].widening_most < NOTHING:
        return None, "certain", "nothing"
    sure = costs["mild"].widening_most >= NOTHING
    return "note", "certain" if sure else "possible", "small"
