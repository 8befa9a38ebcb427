"""A night as it is planned and as it comes: what rooms ask of the simulation, and what it answers. Plain numbers only.

Times are seconds from the start of the night, angles arcseconds. A time of `NEVER` is a value: the thing does not come.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen
from topo.model.facts import Range3

if TYPE_CHECKING:
    from topo.model.finding import Certainty, Severity
    from topo.model.outcome import Lost

NEVER = math.inf
"""A time that does not come: what waits behind a link that others fill."""

NEVER_WORDS = "never"
"""The word for it, the same everywhere."""

Discipline = Literal["fair", "last"]
"""Who is served: all share fairly; or the guide cameras last, from what the others leave."""

DISCIPLINES: tuple[Discipline, ...] = ("fair", "last")

SMOOTH = Range3(1.0, 1.0, 1.0)
"""A mount whose error is a pure sinusoid."""

SEEING = Range3(1.5, 2.5, 4.0)
"""Width of stars to assume where nothing is declared, arcsec FWHM (observatory and owners' pages)."""

Event = Literal["download", "dither", "focus-run", "filter-change", "frame-lost", "copy", "cooler-ramp", "slew"]


@frozen
class Mount:
    """How a mount moves without corrections, on the axis that is guided.

    A sinusoid of `peak_to_peak_arcsec` over `period_s`, its rate times `rougher` (strain-wave gears are no pure
    sinusoid), plus a steady `drift_arcsec_per_s`. Guide pulses move it at `pulse_arcsec_per_s`. `known` is False where
    nothing was declared and the ranges are assumed.
    """

    part: str | None
    peak_to_peak_arcsec: Range3
    period_s: Range3
    rougher: Range3 = SMOOTH
    drift_arcsec_per_s: float = 0.0
    pulse_arcsec_per_s: float = 7.52
    known: bool = True


@frozen
class Guiding:
    """A guide camera's loop: expose, send the frame, correct, expose again.

    `overhead_s` is what a cycle takes besides exposure and transfer; `gain` the share of the error taken out at once;
    `noise_arcsec` star noise of one frame on one axis; `timeout_s` how long past the exposure a program waits for the
    frame; `wait_s` what it waits after a frame that was lost. `buffer_bytes` is what the camera holds of a frame.
    """

    camera: str
    exposure_s: float
    mount: Mount
    overhead_s: Range3
    gain: Range3
    noise_arcsec: Range3
    timeout_s: Range3
    wait_s: float = 0.0


@frozen
class Shooting:
    """A camera of single frames. With `pictures`, its open shutter counts; else only its downloads do.

    `gap_s` from the end of a download to the next exposure. `overlapped`: the next exposure starts as the last one
    ends. Every `dither_every` pictures the mount moves and the camera waits until it has settled for `settle_s`. Every
    `focus_every_s` a run of `focus_frames` short frames; a filter change of `filter_s` every `filter_every` pictures.
    0 means never.
    """

    camera: str
    exposure_s: float
    gap_s: float
    pictures: bool = True
    overlapped: bool = False
    guided_by: str | None = None
    dither_every: int = 0
    settle_s: float = 10.0
    focus_every_s: float = 0.0
    focus_frames: int = 9
    focus_exposure_s: float = 4.0
    filter_every: int = 0
    filter_s: float = 5.0


@frozen
class Copying:
    """A steady flow that comes and goes: on for `on_s` in every `every_s`."""

    flow: str
    on_s: float
    every_s: float


@frozen
class NightPlan:
    """What is planned for a night. `seeing_arcsec` is the width of stars (FWHM); `assumed` says in words what is.

    `seconds` are those simulated, `planned_s` those planned: less of the night where exposures are very short.
    """

    seconds: float
    shooting: tuple[Shooting, ...]
    guiding: tuple[Guiding, ...]
    copying: tuple[Copying, ...] = ()
    seeing_arcsec: Range3 = SEEING
    assumed: tuple[str, ...] = ()
    planned_s: float = 0.0


@frozen
class Late:
    """Guide frames late by the same time: one at `at_s`, or all those due from `at_s` until `until_s`.

    `at_s` is when the frame would have come with nothing else on its links. `frames` counts them.
    """

    at_s: float
    until_s: float
    by_s: float
    frames: int = 1
    lost: bool = False

    @property
    def ends_s(self) -> float:
        """When the last of them has come."""
        return max(self.until_s, self.at_s + self.by_s)


@frozen
class GuideNight:
    """A guide camera's night: how many frames it took, and those that came late or not at all, in order of time."""

    camera: str
    frames: int
    late: tuple[Late, ...]

    def late_within(self, low: float, high: float) -> tuple[Late, ...]:
        """Frames that were due before the end of a span and came after its start. A frame is due only once the one
        before has come, so both times rise."""
        last = first = bisect_left(self.late, high, key=lambda late: late.at_s)
        while first and self.late[first - 1].ends_s > low:
            first -= 1
        return self.late[first:last]


@frozen
class ShootingNight:
    """A camera's night: when its shutter opened and closed, and the seconds that downloads kept it closed."""

    camera: str
    pictures: tuple[tuple[float, float], ...]
    downloads: tuple[tuple[float, float], ...]
    dark_s: float
    lost: tuple[float, ...] = ()


@frozen
class StreamNight:
    """A stream's night: bytes that came, the lowest rate it ran at and how long below what it asks; frames lost."""

    flow: str
    bytes: float
    slowest_bytes_per_s: float
    short_s: float
    frames_lost: float
    first_lost_s: float


@frozen
class Happening:
    """Something of the night that other rooms ask about: power for its currents, pictures for their marks."""

    kind: Event
    at_s: float
    lasts_s: float
    part: str


@frozen
class Night:
    """One simulated night: one discipline, one level of throughput, one draw of phases.

    `loads`, where they were kept: from a time on, links carry so much, seconds of bus time per second.
    """

    seconds: float
    discipline: Discipline
    level: str
    guiding: tuple[GuideNight, ...]
    shooting: tuple[ShootingNight, ...]
    streams: tuple[StreamNight, ...]
    happenings: tuple[Happening, ...]
    loads: tuple[tuple[float, tuple[tuple[str, float], ...]], ...] = ()


@frozen
class Spread:
    """A figure over many nights: what half, and 95 of 100, stay below; and the worst."""

    typical: float
    most: float
    worst: float


@frozen
class Lateness:
    """How late one guide camera's frames come under one discipline, over all nights.

    `spread` over the frames that met something, seconds; shares are of all frames, late by more than a tenth, half and
    all of a cycle. `met` is the share of downloads that met a frame. `lost_per_h` over the nights. `always_s` is what
    every frame is late by (steady flows), `never` where at some end of what is assumed a frame does not come.
    """

    discipline: Discipline
    frames: int
    spread: Spread
    share_tenth: float
    share_half: float
    share_cycle: float
    met: float
    lost_per_h: Spread
    first_lost_s: float
    always_s: float
    never: bool


@frozen
class Cost:
    """What sharing does to one camera's pictures at one corner of what is assumed (harsh, likely, mild).

    `without` and `with_` are the rms guiding error in the open shutter on the guided axis, arcsec, of the middle
    picture; `widening` shares (0.05 is 5 %) by which stars grow along that axis: the middle picture, and the one that
    95 of 100 stay below; `widening_worst` that of the picture which sharing widens most. `excursion_arcsec` the largest
    distance from a picture's own mean that sharing caused, None where nobody asked for it; `spoiled` the share of
    pictures that widen by more than 10 % by sharing.
    """

    corner: Literal["harsh", "likely", "mild"]
    without_arcsec: float
    with_arcsec: float
    widening: float
    widening_most: float
    eccentricity_without: float
    eccentricity_with: float
    excursion_arcsec: float | None
    spoiled: float
    widening_worst: float = 0.0


@frozen
class Sentence:
    """What the night says of one guide camera and one camera's pictures.

    `severity` None: this is not it. `why` is the rule that decided, a word for tests and scripts. `costs` stand in the
    order harsh, likely, mild; none where a closed form has shown that stars widen by less than 1 %, by `most` at the
    harshest.
    """

    guide: str
    camera: str | None
    severity: Severity | None
    certainty: Certainty
    why: str
    most: float
    costs: tuple[Cost, ...] = ()


@frozen
class GuideDelay:
    """How late one guide camera's frames may come, without asking what that costs.

    `cycle_s` from one guide exposure to the next with nothing else on its links. `late_fair_s` and `late_last_s` are
    the worst coincidence, low to high (inf: never comes), where all share fairly and where the others come first;
    `always_s` what every frame is late by at the worst, for steady flows. `lost` says whether frames are lost,
    `lost_after_s` how long into a transfer at the soonest. `chance` is the share of downloads that delay a guide frame.
    `harmless`: a closed form shows that stars widen by less than 1 % at the harshest, and nobody waits too long.
    """

    camera: str
    cycle_s: float
    late_fair_s: Range3
    late_last_s: Range3
    always_s: float
    chance: float | None
    lost: Lost
    lost_after_s: float
    harmless: bool

    @property
    def never(self) -> bool:
        """Whether at some end of what is assumed its frames never come."""
        return self.late_last_s.high == NEVER


@frozen
class Guided:
    """What a night does to one guide camera and, through it, to the pictures.

    A sentence for each camera whose pictures it guides; the worst gives `severity` (None: a fault that is hunted is not
    here), `certainty` and `why`, the rule that decided. All of it is for frames that wait: whether some are lost is
    told apart.
    """

    delay: GuideDelay
    sentences: tuple[Sentence, ...]
    severity: Severity | None
    certainty: Certainty
    why: str

    @property
    def worst(self) -> Sentence:
        """The sentence that decided; of several the one where stars widen most."""
        deciding = [each for each in self.sentences if (each.severity, each.why) == (self.severity, self.why)]
        return max(deciding, key=lambda each: each.most)

@frozen
class NightOutcome:
    """Many nights taken together: quantiles over phases, levels and disciplines."""

    nights: int
    seconds: float
    lateness: tuple[tuple[str, tuple[Lateness, ...]], ...]
    sentences: tuple[Sentence, ...]
