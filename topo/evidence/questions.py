"""The questions asked of a night: does each kind of glitch line up with each thing the rig did? Corrected together."""

from __future__ import annotations

import itertools
import math
import statistics
from bisect import bisect_right
from collections.abc import Sequence

from topo.evidence import chance
from topo.evidence.series import Series, Windows
from topo.frozen import frozen, replace
from topo.model.answers import CauseKind, GlitchKind, Link, LinkVerdict

OVERLAP = 0.3
GRID_S = 2.0
MOST_CHANCES = 40_000
LEAST_WINDOWS = 3


@frozen
class LinkQuestion:
    """Glitches of one kind, the chances there were, and windows widened by what the clocks are not known to."""

    glitch: GlitchKind
    cause: CauseKind
    trial: chance.Trial
    delays: tuple[float, ...]
    give_s: float
    cycle_s: float
    unclear: bool


def asked(
    series: Sequence[Series], windows: Sequence[Windows], drops: Sequence[float],
    covered: tuple[float, float] | None, drop_give_s: float,
) -> list[LinkQuestion]:
    """Every question the files allow, in a fixed order."""
    found = []
    for each in series:
        kinds: tuple[tuple[GlitchKind, list[float]], ...] = (
            ("late", [t for t, _ in each.late]), ("lost", list(each.lost)), ("jump", [t for t, *_ in each.jumps]))
        for kind, glitches in kinds:
            if glitches:
                found += [_question(kind, glitches, each.due, each.cadence_s, w, _give(each, w), each.pauses)
                          for w in windows]
    if drops and covered is not None and covered[1] - covered[0] > 100 * GRID_S:
        step = max(GRID_S, (covered[1] - covered[0]) / MOST_CHANCES)
        grid = tuple(covered[0] + n * step for n in range(int((covered[1] - covered[0]) / step)))
        found += [_question("drop", drops, grid, step, w, drop_give_s + w.give_s, ())
                  for w in windows]
    return [question for question in found if question is not None]


def _give(series: Series, windows: Windows) -> float:
    return 0.0 if series.source == windows.source else series.give_s + windows.give_s


class Session:
    """The time in which both the windows and the glitches could be, pauses cut out, in steps of one guide cycle."""

    def __init__(self, begin: float, end: float, pauses: Sequence[tuple[float, float]], step: float) -> None:
        self._step = max(step, (end - begin) / MOST_CHANCES)
        self._stretches: list[tuple[float, float, float]] = []
        done, at = 0.0, begin
        for stop, go in [*sorted(pauses), (end, end)]:
            if min(stop, end) > at:
                self._stretches.append((at, min(stop, end), done))
                done += min(stop, end) - at
            at = max(at, go)
        self.steps = tuple(n * self._step for n in range(int(done / self._step)))

    def place(self, time: float) -> float | None:
        """The start of the step a time falls in; None in a pause or outside."""
        for begin, end, before in self._stretches:
            if begin <= time <= end:
                return math.floor((time - begin + before) / self._step) * self._step
        return None

    def window(self, begin: float, end: float) -> tuple[float, float] | None:
        """Steps a window touches, from the start of the first to that of the last; None where it touches none."""
        for start, stop, before in self._stretches:
            if end >= start and begin <= stop:
                first = math.floor((max(begin, start) - start + before) / self._step) * self._step
                return first, math.floor((min(end, stop) - start + before) / self._step) * self._step
        return None


def _question(kind: GlitchKind, glitches: Sequence[float], due: Sequence[float], cycle: float, windows: Windows,
              give: float, pauses: Sequence[tuple[float, float]]) -> LinkQuestion | None:
    """One question. Windows reach one cycle past their end, and both ends by what the clocks are not known to."""
    inside = [(begin, end) for begin, end in windows.stretches if due and end >= due[0] and begin <= due[-1]]
    if len(inside) < LEAST_WINDOWS:
        return None
    cadence = statistics.median(b[0] - a[0] for a, b in itertools.pairwise(inside))
    session = Session(max(due[0], inside[0][0] - cadence), min(due[-1], inside[-1][1] + cadence), pauses, cycle)
    wide = [session.window(begin - give, end + cycle + give) for begin, end in inside]
    own = statistics.median(end - begin for begin, end in inside) + cycle
    places = [place for glitch in glitches if (place := session.place(glitch)) is not None]
    trial = chance.trial(session.steps, [each for each in wide if each is not None], places,
                         max(2 * cycle, min(own, cadence / 4)))
    starts = [begin for begin, _ in inside]
    delays = []
    for glitch in glitches:
        index = bisect_right(starts, glitch + give) - 1
        if index >= 0 and glitch <= inside[index][1] + cycle + give:
            delays.append(glitch - starts[index])
    unclear = own + 2 * give > cadence / 2 and give > 0
    return LinkQuestion(kind, windows.cause, trial, tuple(delays), give, cycle, unclear)


def answered(questions: Sequence[LinkQuestion]) -> tuple[Link, ...]:
    """The answers, corrected for the number of questions asked, those without an answer too."""
    clear = [q for q in questions if not q.unclear and q.trial.glitches]
    shifts = [chance.shift_p(q.trial) for q in clear]
    cycles = [chance.cycle_p(q.trial) for q in clear]
    both = chance.holm([max(a, b) for a, b in zip(shifts, cycles, strict=True)])
    rhythm = chance.holm(cycles)
    found = {id(q): _link(q, s, c, p, r, len(clear)) for q, s, c, p, r in
             zip(clear, shifts, cycles, both, rhythm, strict=True)}
    links = [found.get(id(q)) or _unclear(q, len(clear)) for q in questions]
    return tuple(_overlapping(list(questions), links))


def _link(q: LinkQuestion, shift: float, cycle: float, p: float, rhythm: float, questions: int) -> Link:
    trial = q.trial
    hits, count, share = trial.hits, len(trial.glitches), trial.share
    level = chance.LEVEL / max(1, questions)
    need = max(chance.LEAST_CLUMPS, chance.needed(share, chance.SHARE_LOOKED_FOR, level, chance.POWER))
    low, high = chance.interval(hits, count)
    if hits == 0:
        high = chance.none_bound(count)
    bound = min(1.0, max(0.0, (high - share) / (1 - share))) if hits and share < 1 else high
    even = chance.evenness(trial) > chance.EVEN
    verdict: LinkVerdict
    why = ""
    if count < chance.LEAST_CLUMPS:
        verdict, why = "not-enough", "few"
    elif even:
        verdict, why = "cannot-decide", "even"
    elif p <= chance.LEVEL and hits > count * share:
        verdict = "shown"
    elif rhythm <= chance.LEVEL and hits > count * share:
        verdict = "possible"
    elif count >= need:
        verdict = "not-seen"
    else:
        verdict, why = "not-enough", "power"
    delay = statistics.median(q.delays) if q.delays else None
    return Link(q.glitch, q.cause, verdict, hits, count, share, low, high, p, shift, cycle, questions, need, bound,
                delay, q.give_s, why)  # type: ignore[arg-type]


def _unclear(q: LinkQuestion, questions: int) -> Link:
    count = len(q.trial.glitches)
    return Link(q.glitch, q.cause, "cannot-decide", q.trial.hits, count, q.trial.share, 0.0, 1.0, 1.0, 1.0, 1.0,
                questions, 0, 1.0, None, q.give_s, "clock" if count else "few")


def _overlapping(questions: list[LinkQuestion], links: list[Link]) -> list[Link]:
    """Names, for each link shown or possible, other causes whose windows cover much of the same chances."""
    found = []
    for question, link in zip(questions, links, strict=True):
        others = []
        if link.verdict in ("shown", "possible"):
            mine = _covered(question)
            for other in questions:
                if other.cause != question.cause and other.glitch == question.glitch and mine and len(
                        mine & _covered(other)) > OVERLAP * len(mine):
                    others.append(other.cause)
        found.append(replace(link, overlaps=tuple(dict.fromkeys(others))) if others else link)
    return found


def _covered(question: LinkQuestion) -> set[int]:
    return {n for first, last in question.trial.marked for n in range(first, last + 1)}
