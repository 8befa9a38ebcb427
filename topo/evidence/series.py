"""Guide frames and what went wrong with them; and the windows of what the rig did meanwhile. Times in s on the axis."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Sequence

from topo.evidence.clocks import Axis
from topo.evidence.open import Source
from topo.frozen import frozen
from topo.model.answers import CauseKind
from topo.model.evidence import Action, FrameData, FrameTime, GuideSample

MAD = 1.4826
"""Times the median absolute deviation, the standard deviation of what is normal."""
LATE_MADS = 3.0
LATE_CYCLES = 0.5
JUMP_MADS = 6.0
JUMP_TIMES = 3.0
PAUSE_CYCLES = 10.0
LEAST_STOP_S = 30.0
LEAST_FRAMES = 20
LONGEST_DOWNLOAD_S = 10.0
EVEN_SHARE = 0.2


@frozen
class Series:
    """Guide frames of one source: when each was due, and glitches among them by when they were due.

    `late` and `jumps` have their size beside them (s, and the table's unit); `even` of a jump tells that the frame
    itself came in time. `give_s` is how well the times are known.
    """

    source: int
    name: str
    cadence_s: float
    spread_s: float
    due: tuple[float, ...]
    late: tuple[tuple[float, float], ...]
    lost: tuple[float, ...]
    jumps: tuple[tuple[float, float, bool], ...]
    give_s: float
    pauses: tuple[tuple[float, float], ...] = ()


@frozen
class Windows:
    """When the rig did something: stretches in s, the source they are from, and how well they are known."""

    cause: CauseKind
    source: int
    stretches: tuple[tuple[float, float], ...]
    give_s: float
    basis: str


def guide_tables(axis: Axis, sources: Sequence[Source]) -> list[Series]:
    """A series for each table of guiding."""
    found = []
    for number, source in enumerate(sources):
        samples = [e for e in source.reading.events if isinstance(e, GuideSample)] if source.reading else []
        timed = []
        give = 0.0
        for sample in samples:
            when = axis.at(number, sample.at)
            if when is not None and math.isfinite(when[1]):
                timed.append((when[0], sample))
                give = max(give, when[1])
        if len(timed) >= LEAST_FRAMES:
            found.append(_of_samples(number, source.name, timed, give))
    return found


def _of_samples(number: int, name: str, timed: list[tuple[float, GuideSample]], give: float) -> Series:
    timed.sort(key=lambda each: each[0])
    exposures = [s.exposure_s for _, s in timed if s.exposure_s is not None]
    usual = statistics.median(exposures) if exposures else 0.0
    extra = [(s.exposure_s - usual) if s.exposure_s is not None and exposures else 0.0 for _, s in timed]
    cadence, spread, due, late, pauses = lateness([t for t, _ in timed], extra)
    lost = tuple(t for t, s in timed if s.lost)
    jumps = _jumps(timed, cadence, dict(late))
    return Series(number, name, cadence, spread, due, late, lost, jumps, give, pauses)


def lateness(
    times: Sequence[float], extra: Sequence[float] = ()
) -> tuple[float, float, tuple[float, ...], tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]:
    """Cadence, its spread, when frames were due, late ones with how late, and pauses, of frames at these times.

    `extra` is by how much longer each was exposed than usual. Late is an interval beyond the median by more than three
    deviations and half a cycle (common practice). Long gaps are pauses, not late frames.
    """
    gaps = [b - a for a, b in itertools.pairwise(times)]
    own = [gap - (extra[n + 1] if extra else 0.0) for n, gap in enumerate(gaps)]
    short = [gap for gap in own if gap > 0]
    if not short:
        return 0.0, 0.0, (), (), ()
    cadence = statistics.median(short)
    short = [gap for gap in short if gap < max(PAUSE_CYCLES * cadence, LEAST_STOP_S)] or short
    spread = MAD * statistics.median(abs(gap - cadence) for gap in short)
    limit = cadence + max(LATE_MADS * spread, LATE_CYCLES * cadence)
    due, late, pauses = [], [], []
    for begin, gap, end in zip(times, own, times[1:], strict=False):
        if gap >= max(PAUSE_CYCLES * cadence, LEAST_STOP_S):
            pauses.append((begin, end))
            continue
        due.append(begin + cadence)
        if gap > limit:
            late.append((begin + cadence, gap - cadence))
    return cadence, spread, tuple(due), tuple(late), tuple(pauses)


def _jumps(
    timed: list[tuple[float, GuideSample]], cadence: float, late: dict[float, float]
) -> tuple[tuple[float, float, bool], ...]:
    """Errors that leap from one frame to the next: beyond six deviations and three usual steps (common practice).

    Those of dithers and lost stars are none.
    """
    steps = []
    for (before, a), (at, b) in itertools.pairwise(timed):
        if a.settling or b.settling or a.first is None or b.first is None:
            continue
        if at - before > max(PAUSE_CYCLES * cadence, LEAST_STOP_S):
            continue
        leap = math.hypot(b.first - a.first, (b.second or 0.0) - (a.second or 0.0))
        steps.append((before, at, leap))
    if len(steps) < LEAST_FRAMES:
        return ()
    usual = statistics.median(leap for *_, leap in steps)
    spread = MAD * statistics.median(abs(leap - usual) for *_, leap in steps)
    limit = max(usual + JUMP_MADS * spread, JUMP_TIMES * usual)
    found: list[tuple[float, float, bool]] = []
    last = -math.inf
    for before, at, leap in steps:
        if leap > limit and leap > 0 and at - last > 2 * cadence:
            even = before + cadence not in late and at - before < cadence * (1 + EVEN_SHARE)
            found.append((before + cadence, leap, even))
            last = at
    return tuple(found)


# -- captures ---------------------------------------------------------------------------------------------------------

def streams(axis: Axis, sources: Sequence[Source]) -> dict[tuple[int, str, int], list[FrameData]]:
    """Frames of captures by source, device and endpoint, their times on the axis."""
    found: dict[tuple[int, str, int], list[FrameData]] = {}
    for number, source in enumerate(sources):
        for event in source.reading.events if source.reading else ():
            if isinstance(event, FrameData):
                found.setdefault((number, event.device, event.endpoint), []).append(event)
    return found


def guide_stream(axis: Axis, key: tuple[int, str, int], bursts: Sequence[FrameData], name: str) -> Series | None:
    """Frames of a guide camera in a capture as a series; None where they are too few."""
    if len(bursts) < LEAST_FRAMES:
        return None
    place = axis.placed[(key[0], bursts[0].at.clock)]
    times = [burst.until.seconds + place.offset_s for burst in bursts]
    cadence, spread, due, late, pauses = lateness(times)
    return Series(key[0], name, cadence, spread, due, late, (), (), place.give_s, pauses)


# -- what the rig did -------------------------------------------------------------------------------------------------

def download_windows(axis: Axis, sources: Sequence[Source]) -> list[Windows]:
    """Downloads by the times of frames: from the end of the exposure until the file was closed."""
    found = []
    for number, source in enumerate(sources):
        frames = [e for e in source.reading.events if isinstance(e, FrameTime)] if source.reading else []
        if frames:
            found.append(_of_frames(axis, number, frames))
    joined = [w for w in found if w.stretches]
    if len(joined) > 20:  # a folder of headers: each file is a source of its own
        rest = tuple(sorted(s for w in joined for s in w.stretches))
        return [Windows("download", joined[0].source, rest, max(w.give_s for w in joined), joined[0].basis)]
    return joined


def _of_frames(axis: Axis, number: int, frames: Sequence[FrameTime]) -> Windows:
    role = role_of(frames)
    stretches = []
    give = 0.0
    ordered = sorted(frames, key=lambda frame: frame.at.seconds)
    for frame, after in zip(ordered, [*ordered[1:], None], strict=True):
        begin = axis.at(number, frame.at)
        if begin is None or frame.exposure_s is None or not math.isfinite(begin[1]):
            continue
        done = begin[0] + {"start": 1.0, "middle": 0.5, "end": 0.0}[role] * frame.exposure_s
        closed = axis.at(number, frame.closed) if frame.closed is not None else None
        if closed is not None and done - 1.0 <= closed[0] <= done + 600:
            end = max(done, closed[0])
        else:
            following = axis.at(number, after.at) if after is not None else None
            end = min(following[0] if following and role == "start" else math.inf, done + LONGEST_DOWNLOAD_S)
        stretches.append((done, max(end, done)))
        give = max(give, begin[1])
    basis = "end of exposure to file closed" if any(f.closed for f in frames) else "end of exposure to the next start"
    return Windows("download", number, tuple(stretches), give, f"{basis}; times of frames are their {role}")


def role_of(frames: Sequence[FrameTime]) -> str:
    """Whether the times of frames are the start, middle or end of the exposure, by how long before closing they lie."""
    known = [(f.closed.seconds - f.at.seconds, f.exposure_s) for f in frames
             if f.closed is not None and f.exposure_s is not None and f.closed.clock == f.at.clock]
    if len(known) < 3:
        return "start"
    apart, exposure = statistics.median(a for a, _ in known), statistics.median(e for _, e in known)
    tolerance = 0.25 * exposure + 1
    if abs(apart - exposure) < tolerance or apart > exposure:
        return "start"
    if abs(apart - exposure / 2) < tolerance:
        return "middle"
    return "end" if 0 <= apart < tolerance else "start"


def action_windows(axis: Axis, sources: Sequence[Source]) -> list[Windows]:
    """Windows of everything else the rig did, by table and kind; dithers from guide tables too."""
    found = []
    for number, source in enumerate(sources):
        spans: dict[CauseKind, list[tuple[float, float]]] = {}
        give = 0.0
        for event in source.reading.events if source.reading else ():
            if isinstance(event, Action) and (begin := axis.at(number, event.at)) and math.isfinite(begin[1]):
                end = axis.at(number, event.until) or begin
                spans.setdefault(event.kind, []).append((begin[0], end[0]))
                give = max(give, begin[1])
        for begin_s, end_s in _settling(axis, number, source):
            spans.setdefault("dither", []).append((begin_s, end_s))
        found += [Windows(kind, number, tuple(sorted(stretches)), give, "a table")
                  for kind, stretches in sorted(spans.items()) if kind != "other"]
    return found


def _settling(axis: Axis, number: int, source: Source) -> list[tuple[float, float]]:
    runs: list[tuple[float, float]] = []
    before = False
    for event in source.reading.events if source.reading else ():
        if not isinstance(event, GuideSample):
            continue
        when = axis.at(number, event.at)
        if when is None or not math.isfinite(when[1]):
            continue
        if event.settling and before:
            runs[-1] = (runs[-1][0], when[0])
        elif event.settling:
            runs.append((when[0], when[0]))
        before = event.settling
    return runs
