"""What a night does to a guide camera's frames and to the pictures: the one place where that is judged.

A closed form at the harsh end of all that is assumed comes first; only where it cannot rule harm out are nights
simulated, and then each situation once. Everything that says how bad sharing is takes it from here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from topo.model.facts import Range3
from topo.model.finding import SEVERITIES, TROUBLE, Severity
from topo.model.night import DISCIPLINES, Cost, Guided, GuideDelay, Sentence, Shooting
from topo.night.cost import CornerName, corner
from topo.night.forms import meeting_chance
from topo.night.judge import FEW, PLAIN, SEEN, Waits, judge
from topo.night.outcome import DISCIPLINE_OF, LEVEL_OF
from topo.night.screen import NOTHING, Meetings, bound
from topo.night.situation import MOST_KEPT, Situation, Worst, costs, harshest, lost_after_s, took_s

if TYPE_CHECKING:
    from topo.model.night import Discipline
    from topo.model.outcome import Lost

USUAL_PICTURE_S = 120.0
"""Exposure of a picture that nothing is known of (common practice, no source)."""

CROWD = 8
"""Cameras that hold one guide camera up, past which no night is simulated: the closed form is harsh enough there, and
so many on one link need no finer verdict."""

RULED_OUT: Mapping[CornerName, float] = {"likely": PLAIN, "mild": SEEN}
"""Below this by the closed form, a corner cannot make a fault, and is not simulated."""

MOST_SIMULATED = 2
"""Cameras whose pictures are simulated for one guide camera: those that the closed form says suffer most. The others
suffer less, and the worst decides."""

MOST_GLANCED_AT = 20
"""Pictures followed at the worst phases where only a quick answer is asked for."""

MICROFRAME_S = 125e-6
"""A frame that is late by less than one interval of the bus is on time (USB 2.0 8.4.3.1: 125 us)."""


class _Corners(Mapping[CornerName, "Cost"]):
    """The costs of one camera's pictures, computed as they are asked for, where a closed form cannot rule them out."""

    def __init__(self, here: Situation, shot: Shooting) -> None:
        self.here, self.shot = here, shot

    def __getitem__(self, name: CornerName) -> Cost:
        if name == "harsh":
            return _at_worst(self.here, self.shot).cost
        if _bound(self.here, self.shot.exposure_s, name) < RULED_OUT[name]:
            return Cost(name, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
        return costs(self.here, self.shot.camera, name) or _at_worst(self.here, self.shot).cost

    def __iter__(self) -> Iterator[CornerName]:
        return iter(LEVEL_OF)

    def __len__(self) -> int:
        return len(LEVEL_OF)


class _Glanced(_Corners):
    """The same for who asks for the severity alone: what spoils enough pictures is not followed further."""

    def __getitem__(self, name: CornerName) -> Cost:
        if name == "harsh":
            worst = _at_worst(self.here, self.shot)
            if worst.spoils(FEW, worst.count):
                return SPOILT
        return super().__getitem__(name)


SPOILT = Cost("harsh", 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0)
"""Stands for any pictures of which enough are spoiled at the harsh corner."""


def _at_worst(here: Situation, shot: Shooting) -> Worst:
    """Its pictures at the harsh corner and the worst phases."""
    met = _meetings(here, "harsh")
    own = _cadence(here, "low").get(shot.camera)
    others = tuple((every, by, every == own and not shot.overlapped) for every, by, _ in met.others)
    return harshest(here, shot.camera, after_s(here, "low"), met.always_s, others)


def delay_of(here: Situation, lost: Lost, after: float) -> GuideDelay:
    """How late its frames may come. `lost`: whether some are lost, `after` so many seconds at the soonest."""
    here = here.waiting  # how late those are that wait: the same situation as that of `guided`, computed once
    late = {
        discipline: Range3.of(*sorted(_late(here, level, discipline) for level in LEVEL_OF.values()))
        for discipline in DISCIPLINES
    }
    return GuideDelay(
        here.guide, _cycle_s(here, "likely"), late["fair"], late["last"], _always_s(here),
        max(chances(here).values(), default=None), lost, after, harmless(here),
    )


def harmless(here: Situation) -> bool:
    """Whether the closed form rules out that what shares with a guide camera does the pictures any harm by lateness."""
    here = here.waiting
    pictures = _by_bound(here) or (_without_pictures(here),)
    return all(each.severity is None and each.most < NOTHING for each in pictures)


def guided(here: Situation, delay: GuideDelay) -> Guided:
    """The verdict on a guide camera whose delays are known."""
    here = here.waiting  # that frames are lost is a finding of its own, with a doubt of its own
    asked = _suffer_most(here)
    sentences = tuple(
        _sentence(here, shot) if shot.camera in asked else known
        for shot, known in zip(here.pictures, _by_bound(here), strict=True)
    ) or (_without_pictures(here),)
    worst = min(sentences, key=lambda each: (_place(each.severity), each.certainty != "certain"))
    return Guided(delay, sentences, worst.severity, worst.certainty, worst.why)


def severity_of(here: Situation) -> Severity | None:
    """The severity that `guided` gives, sooner: pictures are followed no further than it takes to tell."""
    here = here.waiting
    if not here.pictures:
        return _without_pictures(here).severity
    worst = _by_bound(here)[0].severity  # what waiting alone makes it, the same for all pictures, and never milder
    shots = {shot.camera: shot for shot in here.pictures}
    for camera in _suffer_most(here):
        if worst != "fault" and (worst != "risk" or _may_be_fault(here, shots[camera])):
            worst = min(worst, _sentence(here, shots[camera], _Glanced).severity, key=_place)
    return worst


def _may_be_fault(here: Situation, shot: Shooting) -> bool:
    """Whether a closed form cannot rule out that a camera's pictures are wide enough for a fault."""
    return any(_bound(here, shot.exposure_s, name) >= least for name, least in RULED_OUT.items())


def is_trouble(here: Situation) -> bool:
    """Whether a little tells already that `guided` makes it a fault or a risk: no night is simulated, and of the
    pictures at the worst phases only a few are followed. False proves nothing."""
    here = here.waiting
    if any(each.severity in TROUBLE for each in _by_bound(here) or (_without_pictures(here),)):
        return True
    asked = _suffer_most(here)
    return any(_shows(here, shot) for shot in here.pictures if shot.camera in asked)


def _shows(here: Situation, shot: Shooting) -> bool:
    """Whether a few of a camera's pictures tell that it is a fault or a risk, where waiting alone does not."""
    if _bound(here, shot.exposure_s, "harsh") < NOTHING:
        return False
    if _crowded(here) or _too_short(here, shot):
        return _sentence(here, shot).severity in TROUBLE
    return _at_worst(here, shot).spoils(FEW, MOST_GLANCED_AT)


def _suffer_most(here: Situation) -> list[str]:
    """The cameras whose pictures suffer most by the closed form, the worst first: these are simulated."""
    worst = sorted(_by_bound(here), key=lambda each: -each.most)[:MOST_SIMULATED]
    return [each.camera for each in worst if each.camera is not None]


def _place(severity: Severity | None) -> int:
    return len(SEVERITIES) if severity is None else SEVERITIES.index(severity)


@lru_cache(maxsize=4 * MOST_KEPT)
def _late(here: Situation, level: str, discipline: Discipline, beside: tuple[str, ...] | None = None) -> float:
    """Seconds of the worst coincidence. On one link others first is never sooner than fair; over several it may come
    out so, and then the later of the two is said for both ends of what is not known."""
    late = took_s(here, level, discipline, beside) - alone_s(here, level)
    if discipline == "last":
        late = max(late, _late(here, level, "fair", beside))
    return late if late > MICROFRAME_S else 0.0


def _figure(here: Situation, level: str, which: str) -> float:
    return float(dict(getattr(here.at(level), which)).get(here.guide, 0.0))


def alone_s(here: Situation, level: str) -> float:
    """Seconds of a guide frame's transfer with nothing else on its links."""
    return _figure(here, level, "alone_s")


def after_s(here: Situation, level: str) -> float:
    """What a cycle takes besides its exposure."""
    return alone_s(here, level) + _figure(here, level, "fixed_s") + here.guiding.overhead_s.likely


def _cycle_s(here: Situation, level: str) -> float:
    return here.guiding.exposure_s + after_s(here, level)


def _always_s(here: Situation) -> float:
    """What every frame is late by at the worst: steady flows alone."""
    return _late(here, "low", "last", ())


def chances(here: Situation) -> dict[str, float]:
    """The share of its downloads that delay a guide frame, of each camera that delays any, in the order of the file."""
    alone, fixed = dict(here.at("likely").alone_s), dict(here.at("likely").fixed_s)
    return {
        name: meeting_chance(alone[name] + fixed[name], alone_s(here, "likely"), _cycle_s(here, "likely"))
        for name in here.bursts if name in alone and (_crowded(here) or _late(here, "low", "last", (name,)) > 0.0)
    }


def _crowded(here: Situation) -> bool:
    return len(here.bursts) > CROWD


def _too_short(here: Situation, shot: Shooting) -> bool:
    """Whether what is simulated of the night, where exposures are very short, may hold no whole picture of a camera."""
    return here.plan.seconds < 2.0 * _cadence(here, "low")[shot.camera]


def _ways(here: Situation) -> list[tuple[str, ...]]:
    """What a frame may meet for certain in a night: what is steady, and each other camera alone with it."""
    return [(), *(() if _crowded(here) else ((name,) for name in here.bursts))]


def may_lose(here: Situation) -> bool:
    """Whether frames are lost, or may be: whether `soonest_lost_s` is a time, told sooner."""
    return lost_after_s(here, "low", "fair") < math.inf or any(
        lost_after_s(here, level, "last") < math.inf for level in LEVEL_OF.values())


@lru_cache(maxsize=MOST_KEPT)
def soonest_lost_s(here: Situation) -> float:
    """After what time frames are lost, at the soonest; inf where none is."""
    return min(lost_after_s(here, "low", "fair"), *(lost_after_s(here, each, "last") for each in LEVEL_OF.values()))


@lru_cache(maxsize=MOST_KEPT)
def surely_lost(here: Situation, doubted: frozenset[str]) -> bool:
    """Whether one other camera, or what is steady, is enough for a loss at every level with fair shares. Nothing is
    counted of flows that are `doubted`, since what they ask for is assumed."""
    levels = tuple(dict.fromkeys(each.level for each in here.links))
    return any(
        all(lost_after_s(here, level, "fair", way, doubted) < math.inf for level in levels)
        for way in _ways(here) if doubted.isdisjoint(way)
    )


@lru_cache(maxsize=MOST_KEPT)
def _waits(here: Situation) -> Waits:
    """How long frames are waited for. At the mild end one download is met, at the harsh end all at once. What is lost
    is a finding of its own; here it counts by what it does to the stars."""
    guiding = here.guiding
    mild = max(_late(here, "high", "fair", way) for way in _ways(here)) + alone_s(here, "high")
    likely = max(_late(here, "likely", "last", way) for way in _ways(here))
    harsh = _late(here, "low", "last") + alone_s(here, "low")
    return Waits(
        mild, harsh, guiding.timeout_s.low, guiding.timeout_s.high, "no",
        mild == math.inf, likely == math.inf, harsh == math.inf,
    )


@lru_cache(maxsize=MOST_KEPT)
def _by_bound(here: Situation) -> tuple[Sentence, ...]:
    """The verdict on every camera's pictures by the closed form alone: it may rule harm out, and where it does not,
    tells whose pictures suffer most."""
    severity, certainty, why = judge(_waits(here), {})
    return tuple(
        Sentence(here.guide, shot.camera, severity, certainty, why, _bound(here, shot.exposure_s, "harsh"))
        for shot in here.pictures
    )


def _sentence(here: Situation, shot: Shooting, corners_of: type[_Corners] = _Corners) -> Sentence:
    """The verdict on one camera's pictures."""
    waits = _waits(here)
    most = _bound(here, shot.exposure_s, "harsh")
    if most < NOTHING or math.isinf(waits.mild_s):
        severity, certainty, why = judge(waits, {})
        return Sentence(here.guide, shot.camera, severity, certainty, why, most)
    if _crowded(here) or _too_short(here, shot):
        return _by_closed_form(here, shot.camera, most)
    corners = corners_of(here, shot)
    severity, certainty, why = judge(waits, corners)
    harsh = corners["harsh"]
    return Sentence(here.guide, shot.camera, severity, certainty, why, harsh.widening_most, (harsh,))


def _without_pictures(here: Situation) -> Sentence:
    """No camera is known to take pictures meanwhile: judged by the closed form alone, for a picture of usual length."""
    return _by_closed_form(here, None, _bound(here, USUAL_PICTURE_S, "harsh"))


def _by_closed_form(here: Situation, camera: str | None, most: float) -> Sentence:
    """A verdict without a simulation: at the harshest, so never certain and never a fault for width alone."""
    severity, certainty, why = judge(_waits(here), {})
    if severity is None and most >= NOTHING:
        severity, certainty, why = ("risk" if most >= SEEN else "note"), "possible", "widening"
    return Sentence(here.guide, camera, severity, certainty, why, most)


@lru_cache(maxsize=MOST_KEPT)
def _bound(here: Situation, exposure_s: float, name: CornerName) -> float:
    """The most by which stars in pictures of a length can widen at a corner, by the closed form."""
    at = corner(name, here.guiding, here.plan.seeing_arcsec)
    return bound(at, here.guiding, Shooting("", exposure_s, 0.0), after_s(here, LEVEL_OF[name]), _meetings(here, name))


@lru_cache(maxsize=MOST_KEPT)
def _cadence(here: Situation, level: str) -> dict[str, float]:
    """Seconds from one picture, or guide frame, of each camera to the next."""
    alone, fixed = dict(here.at(level).alone_s), dict(here.at(level).fixed_s)
    pictures = {each.camera: each.exposure_s + (0.0 if each.overlapped else each.gap_s + alone[each.camera])
                for each in here.plan.shooting}
    guides = {each.camera: each.exposure_s + alone[each.camera] + fixed[each.camera] + each.overhead_s.likely
              for each in here.plan.guiding}
    return {**pictures, **guides}


@lru_cache(maxsize=MOST_KEPT)
def _meetings(here: Situation, name: CornerName) -> Meetings:
    """What its frames meet at the worst of a corner."""
    level, discipline = LEVEL_OF[name], DISCIPLINE_OF[name]
    alone = dict(here.at(level).alone_s)
    every = _cadence(here, level)
    cycle = _cycle_s(here, level)
    others = []
    for other in () if _crowded(here) else here.bursts:
        by = _late(here, level, discipline, (other,))
        if by > 0.0 and other in every:
            others.append((every[other], by, 1 + int(alone[other] / cycle)))
    if _crowded(here):  # all of them at once, as often as the busiest of them comes
        soonest = min((every[other] for other in here.bursts if other in every), default=cycle)
        others.append((soonest, _late(here, level, discipline), 1))
    return Meetings(_late(here, level, discipline, ()), tuple(others), lost=False, lost_always=False)
