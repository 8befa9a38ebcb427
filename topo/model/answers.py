"""What the evidence of a night answers, as frozen values that checks, reports and the chase read.

Times are seconds on the common clock; `give_s` is how well they are known. Places are as in scans ("3-1.2"); `part` is
the rig file's name for one where it is known.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen
from topo.model.evidence import ActionKind, ClockKind, PortKind

if TYPE_CHECKING:
    from topo.analysis.study import Study

GlitchKind = Literal["late", "lost", "jump", "drop"]
CauseKind = ActionKind
GLITCH_WORDS: dict[GlitchKind, str] = {
    "late": "late guide frames", "lost": "lost guide frames", "jump": "jumps of the guide error",
    "drop": "drops off the bus",
}
CAUSE_WORDS: dict[CauseKind, str] = {
    "download": "downloads", "dither": "dithers", "slew": "slews", "focus": "focus moves", "filter": "filter changes",
    "other": "other actions",
}
"""How glitches and causes are told, everywhere."""
LinkVerdict = Literal["shown", "possible", "not-seen", "not-enough", "cannot-decide"]


@frozen
class FileTold:
    """One file: what it is, the time it spans on the common clock (None: not joined), how, and what was left out."""

    name: str
    kind: str
    reader: str
    first_s: float | None
    last_s: float | None
    give_s: float | None
    joined_by: str
    events: int
    covers: bool
    skipped: tuple[str, ...] = ()
    problem: str = ""


@frozen
class Away:
    """One departure: who, when, until when (None: still gone at the end), and where it stands.

    `own_s` and `clock` are the time on its file's own clock, for files that could not be joined (`give_s` is endless).
    """

    path: str
    part: str | None
    at_s: float
    give_s: float
    back_s: float | None
    number: int | None
    file: str
    line: int
    own_s: float = 0.0
    clock: str = ""
    asleep: bool = False

    @property
    def name(self) -> str:
        """The rig's name for it, or its place."""
        return self.part or self.path

    @property
    def away_s(self) -> float | None:
        """How long it was away, in s."""
        return None if self.back_s is None else self.back_s - self.at_s


GroupKind = Literal["one", "branch", "siblings", "controller", "apart"]


@frozen
class DropGroup:
    """Departures within one second of each other. `common` is the lowest place (or part) they all hang on or below.

    `kind`: one device alone; a branch whose top left too; siblings whose hub stayed; a whole controller; things apart.
    `stayed` are places below `common` that were there before and did not leave. `staged` tells that a child had left
    before its parent: it failed in stages. `both_sides` tells whether both halves of a USB 3 hub left (None: unknown).
    """

    at_s: float
    drops: tuple[Away, ...]
    kind: GroupKind
    common: str
    common_part: str | None
    stayed: tuple[str, ...] = ()
    staged: bool = False
    both_sides: bool | None = None
    controller: str = ""
    refused: tuple[str, ...] = ()


@frozen
class PortWoes:
    """A place where devices did not come up: what was told of it, in order, how often, and the first and last time."""

    path: str
    part: str | None
    kinds: tuple[tuple[PortKind, int], ...]
    errors: tuple[int, ...]
    first_s: float
    last_s: float
    file: str
    line: int
    settled: bool


@frozen
class PortHistory:
    """The names that the serial port of one place had, in order of time, each once in a row; `at_s` when each began."""

    path: str
    part: str | None
    names: tuple[str, ...]
    at_s: tuple[float, ...]
    file: str
    line: int


@frozen
class DriverLost:
    """A program took the device at a place from its driver, so many times."""

    path: str
    part: str | None
    driver: str
    program: str
    count: int
    first_s: float
    file: str
    line: int


@frozen
class Counted:
    """Something counted for one place: over-current, refusals, resets told apart."""

    kind: Literal["over-current", "over-current-hub", "bandwidth", "resources", "not-configured", "reset",
                  "reset-waking", "reset-starting", "slower", "controller-dead", "low-volts"]
    path: str
    part: str | None
    count: int
    first_s: float
    file: str
    line: int


@frozen
class Link:
    """Whether glitches of a kind line up with something the rig did.

    `hits` of `count` clumps lie in windows that hold `share` of all chances. `p` is corrected for the number of
    `questions`; `p_shift` and `p_cycle` are not. `bound` is the largest share that can be caused, at 95 %. `delay_s` is
    the median time from a window's start to a hit. `why` says what stood in the way of an answer.
    """

    glitch: GlitchKind
    cause: CauseKind
    verdict: LinkVerdict
    hits: int
    count: int
    share: float
    low: float
    high: float
    p: float
    p_shift: float
    p_cycle: float
    questions: int
    needed: int
    bound: float
    delay_s: float | None
    give_s: float
    why: Literal["", "few", "even", "clock", "windows", "power"] = ""
    overlaps: tuple[CauseKind, ...] = ()

    @property
    def expected(self) -> float:
        """How many hits chance alone gives."""
        return self.count * self.share


@frozen
class GuidingSeen:
    """Guide frames of one source: how many, their cadence, and what went wrong with them."""

    source: str
    frames: int
    cadence_s: float
    spread_s: float
    late: tuple[tuple[float, float], ...]
    lost: tuple[float, ...]
    jumps: tuple[tuple[float, float, bool], ...]
    unit: str
    part: str | None = None


@frozen
class Refuted:
    """A cause that the evidence speaks against: what, of which part, because of what, and how far that goes."""

    cause: Literal["plug", "supply", "sharing", "data-path", "reservation", "controller", "host"]
    part: str
    because: str
    limit: str


@frozen
class Known:
    """A figure that was measured. `fact` is the rig file's key where it may be written there; `planned` what was taken.

    Ranges are (low, likely, high) over the frames seen, in `unit`; `at_s` is when the first was seen, on the common
    clock.
    """

    what: str
    device: str
    part: str | None
    value: tuple[float, float, float]
    unit: str
    count: int
    fact: str = ""
    planned: tuple[float, float, float] | None = None
    at_s: float | None = None


@frozen
class RequestWaits:
    """How long the requests of one endpoint of a capture waited for their answers: that of the 5th, 50th and 95th of a
    hundred, in s. It is waiting and not transfer: a read of a camera waits out the exposure too.
    """

    device: str
    part: str | None
    kind: Literal["bulk", "control"]
    endpoint: int
    requests: int
    low_s: float
    median_s: float
    high_s: float


@frozen
class ComputerEvent:
    """What the computer went through: it slept (until `until_s`, None: the log ends in it), started again, or had its
    clock set, by `seconds` where that is told. Times are on the common clock, None where they could not be joined.
    """

    kind: Literal["slept", "started-again", "clock-set"]
    at_s: float | None
    until_s: float | None
    seconds: float | None
    file: str
    line: int


NightClock = Literal["clock-hour", "since-start", "attitude"]
CLOCK_WORDS: dict[NightClock, str] = {
    "clock-hour": "the same hour", "since-start": "the same time after the start",
    "attitude": "the same turn of the sky, and so the same attitude on one target",
}
NIGHT_CLOCKS: tuple[NightClock, ...] = ("clock-hour", "since-start", "attitude")
"""Clocks on which nights are laid over each other: the day, the night since its log begins, the sidereal day."""


@frozen
class OverNights:
    """Something that comes again on one of the clocks: in `hits` of `nights`, within `spread_s` of each other.

    `at_s` is where on the clock, seconds: of the local day, since the start, or of the sidereal day. `p` is the chance
    of that, corrected for all that was tried. `alike` are clocks that fit as well: these nights cannot tell them apart.
    """

    clock: NightClock
    nights: int
    hits: int
    events: int
    at_s: float
    spread_s: float
    p: float
    alike: tuple[NightClock, ...] = ()


@frozen
class ScanChange:
    """One thing that two scans tell differently: its place ("" for the computer), the part there, and what in words."""

    path: str
    part: str | None
    words: str


@frozen
class BetweenScans:
    """Two saved scans, one after the other: names of their files, when they were made, and what changed."""

    before: str
    after: str
    from_s: float
    to_s: float
    changes: tuple[ScanChange, ...]


@frozen
class TimelineRow:
    """One row of the timeline: a name, stretches (from, to, state) and marks (time, what)."""

    name: str
    stretches: tuple[tuple[float, float, str], ...] = ()
    marks: tuple[tuple[float, str], ...] = ()


@frozen
class Answers:
    """Everything the evidence of a night says. Empty tuples mean that nothing of the kind was in it.

    `unseen` are parts of the rig that no file shows: nothing is known of them.
    """

    axis: ClockKind
    zone_s: float | None
    files: tuple[FileTold, ...]
    groups: tuple[DropGroup, ...] = ()
    ports: tuple[PortWoes, ...] = ()
    counted: tuple[Counted, ...] = ()
    guiding: tuple[GuidingSeen, ...] = ()
    links: tuple[Link, ...] = ()
    refuted: tuple[Refuted, ...] = ()
    known: tuple[Known, ...] = ()
    rows: tuple[TimelineRow, ...] = ()
    errors: tuple[tuple[str, float, float], ...] = ()
    notes: tuple[str, ...] = ()
    covered: tuple[float, float] | None = None
    seen: tuple[tuple[str, str | None], ...] = ()
    between: tuple[BetweenScans, ...] = ()
    port_names: tuple[PortHistory, ...] = ()
    taken: tuple[DriverLost, ...] = ()
    nights: tuple[OverNights, ...] = ()
    waits: tuple[RequestWaits, ...] = ()
    unseen: tuple[str, ...] = ()
    happenings: tuple[ComputerEvent, ...] = ()

    @property
    def drops(self) -> tuple[Away, ...]:
        """Every departure that was not the computer going to sleep, in order."""
        return tuple(drop for group in self.groups for drop in group.drops if not drop.asleep)


@frozen
class DeclaredTimes:
    """What the person says of times: seconds to add by file name, local time minus UTC, and headings of tables."""

    offsets: tuple[tuple[str, float], ...] = ()
    zone_s: float | None = None
    columns: tuple[tuple[str, str], ...] = ()


@frozen
class HeldEvidence:
    """The evidence of a night held against a rig: what checks of evidence read.

    `feeds` names, for each group of departures, the point of the 12 V side that feeds all that left and nothing that
    stayed; None where there is none.
    """

    answers: Answers
    study: Study
    feeds: tuple[str | None, ...] = ()
