"""Settings that take a fault away without moving a plug: a camera's transfer limit, a stream's region and frame rate,
binning, guide cadence.

A limit is computed, not guessed: the highest value, to a tenth of a MB/s, with which the finding is gone. What is
offered has bounds: no limit below half of what the camera gets alone on its link at the low end (so that a download
takes at most twice as long), nor so low that a frame takes longer than the time to the next; no guide cycle past 10 s;
no binning past 4, and none at all of stills that are the picture: only of guide cameras and streams; no region of a
stream smaller than `regions.py` says. `eased` is the rig
with every camera at these bounds. Less asked of a link never harms anybody on it, so what the eased rig still has, no
setting offered clears; what it has not, `settings` clears.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.analysis.cut import groups
from topo.analysis.study import Study
from topo.frozen import frozen
from topo.model.change import Proposal, SetUse
from topo.model.facts import value_of
from topo.model.finding import AnyFinding, Finding, Severity
from topo.model.rig import Device, Part, Rig
from topo.model.traffic import Flow
from topo.place.consequence import Consequence, key_of
from topo.place.regions import least_region, region_of, regions_down_to
from topo.place.remembered import After, Remembered
from topo.wiring.apply import apply

if TYPE_CHECKING:
    from topo.place.judge import Judge

TENTHS = 10
"""Limits are searched in tenths of a MB/s: finer than any camera's own setting."""

LEAST_SHARE = 0.5
"""The least share of its own rate a camera is held to (common practice falls back to 40 to 60 %, no source)."""

MOST_BIN = 4
"""Past this a picture is no use (our own proposal, no source)."""

NEARER = 32
"""Steps between a setting as it is now and one that helps; how near to now a plan of several changes is brought."""

LONGEST_CYCLE_S = 10.0
"""Longest guide cycle proposed: past this a mount's own error shows (common practice, no source)."""

COARSE = 8
"""Where settings of three cameras or more are sought together, each limit is good enough to an eighth of its range."""

NO_LIMIT = 1e6
"""MB/s that no link carries: what a camera gets alone is then up to its readout and its link."""

Keys = frozenset[tuple[str, str]]


@frozen
class Settings:
    """Settings that clear findings, with the rig after them and what is left."""

    changes: tuple[SetUse, ...]
    after: After

    @property
    def consequence(self) -> Consequence:
        """What the rig comes to with them."""
        return self.after.consequence


def eased(kept: Remembered, rig: Rig) -> Rig:
    """The rig with every camera at the easiest settings that are offered."""
    for change in bounds(kept.of(rig).study):
        rig = apply(rig, change)
    return rig


def settings(kept: Remembered, rig: Rig, clear: tuple[Severity, ...]) -> Settings:
    """Settings for every finding of the severities `clear` that settings can take away.

    For one finding after the other the first kind of setting that works is taken, in this order: the camera's own
    transfer limit, the limits of those it shares with, a stream's region, its frames a second, binning, guide cadence.
    A setting that brings a new finding is not taken. Where that does not get there, every camera starts from its
    easiest settings, and each in turn is put back as far as it may.
    """
    stuck = _keys(kept.of(eased(kept, rig)).telling(clear))
    here = kept.of(rig)
    wanted = [finding for finding in here.telling(clear) if key_of(finding) not in stuck]
    changes: dict[SetUse, AnyFinding] = {}
    for those in _apart(kept, rig, wanted):
        here = _one_by_one(kept, here, those, clear, changes)
        if not _keys(here.telling(clear)).isdisjoint(map(key_of, those)):
            break  # nothing on another controller helps here
    if not _keys(here.telling(clear)) <= stuck:
        return _put_back(kept, rig, _Leaves(stuck, clear))
    here.pay()
    return Settings(tuple(sorted(changes, key=lambda change: wanted.index(changes[change]))), here)


def _apart(kept: Remembered, rig: Rig, findings: list[AnyFinding]) -> list[list[AnyFinding]]:
    """Findings in groups that no setting joins, as each hangs on one controller: the smallest first, since where one
    stays all others need not be tried. All in one where some is not known to hang on one."""
    found: list[list[AnyFinding]] = []
    for here in map(set, groups(kept.of(rig).topology).values()):
        found.append([each for each in findings if each.name in kept.examiner.one_controller
                      and here.issuperset((each.part, *each.others))])
    return sorted(filter(None, found), key=len) if sum(map(len, found)) == len(findings) else [findings]


def _one_by_one(
    kept: Remembered, here: After, findings: list[AnyFinding], clear: tuple[Severity, ...],
    changes: dict[SetUse, AnyFinding],
) -> After:
    """The rig after a setting for each finding that is still there in turn, as far as one works. They are added to
    `changes`, each with the finding it is for."""
    for finding in findings:
        if key_of(finding) not in _keys(here.telling(clear)):
            continue
        for change in _offers(here.study, partial(is_gone, kept, finding), finding):
            then = kept.of(apply(here.rig, change))
            if is_gone(kept, finding, then.rig) and _keys(then.telling(clear)) <= _keys(here.telling(clear)):
                old = next((each for each in changes if (each.part, each.key) == (change.part, change.key)), None)
                changes[change] = finding if old is None else changes.pop(old)
                here = then
                break
    return here


def is_gone(kept: Remembered, finding: AnyFinding, rig: Rig) -> bool:
    """Whether a rig has a finding no more, not even as a note."""
    after = kept.of(rig)
    if after.still_has(finding):
        return False
    name, key, near = finding.name, key_of(finding), after.near(finding.name, finding.part)
    return key not in map(key_of, near.glimpsed(name)) and key not in map(key_of, near.found(name))


def _keys(findings: tuple[AnyFinding, ...]) -> Keys:
    return frozenset(map(key_of, findings))


# -- the bounds of what is offered ---------------------------------------------------------------------------------


def bounds(study: Study) -> Iterator[SetUse]:
    """Each setting of each camera at the easiest that is offered."""
    for part in study.rig.devices:
        flow = study.flow(part.id)
        if flow is None or not flow.frame_bytes:
            continue
        if _may_bin(part, flow) and int(value_of(part.use.bin, 1)) < MOST_BIN:
            yield SetUse(part.id, "bin", MOST_BIN)
        if flow.kind == "video":
            yield SetUse(part.id, "fps", 1)
            if (region := least_region(part)) is not None:
                yield SetUse(part.id, "roi", region)
        elif (least := _least_tenths(study, flow)) is not None:
            yield SetUse(part.id, "limit_mb_per_s", least / TENTHS)
        if (gap := _longest_gap_s(part)) is not None:
            yield SetUse(part.id, "gap_s", gap)


def _least_tenths(study: Study, flow: Flow) -> int | None:
    """The lowest limit offered, in tenths of a MB/s; None where the camera is no faster than that by itself."""
    free = study.what_if(SetUse(flow.device, "limit_mb_per_s", NO_LIMIT))
    share = math.floor(free.levels[0].alone[flow.device] / 1e6 * LEAST_SHARE * TENTHS)
    in_time = math.ceil(flow.frame_bytes / flow.period_s / 1e6 * TENTHS) if flow.period_s else 1
    least = max(1, share, in_time)
    most = study.levels[2].alone[flow.device] / 1e6 * TENTHS
    return least if least < most < math.inf else None


def _may_bin(part: Part, flow: Flow) -> bool:
    """Whether binning changes no picture: guide frames, and streams."""
    return part.role == "guiding" or flow.kind == "video"


def _longest_gap_s(part: Device) -> float | None:
    exposure, gap = value_of(part.use.exposure_s), value_of(part.use.gap_s) or 0.0
    if part.role != "guiding" or exposure is None or exposure + gap >= LONGEST_CYCLE_S:
        return None
    return round(LONGEST_CYCLE_S - exposure, 1)


# -- one finding at a time -----------------------------------------------------------------------------------------


def offers(judge: Judge, finding: Finding) -> Iterator[Proposal]:
    """Settings that might clear a finding, one at a time, asked of its own check alone."""
    if judge.examiner.one(finding.name) is None:
        return
    for change in _offers(judge.study, partial(is_gone, judge.kept, finding), finding):
        yield Proposal((change,))


def _offers(study: Study, gone: Callable[[Rig], bool], finding: AnyFinding) -> Iterator[SetUse]:
    cameras = [
        name for name in (finding.part, *finding.others) if (flow := study.flow(name)) is not None and flow.frame_bytes
    ]
    for name in cameras:
        limit = highest_limit(study, name, gone)
        if limit is not None:
            yield SetUse(name, "limit_mb_per_s", limit)
    for name in cameras:
        flow = study.flow(name)
        device, part = study.device(name), study.rig.device(name)
        if flow is not None and flow.kind == "video" and device.gets_mb_per_s is not None:
            gets = device.gets_mb_per_s.low * 1e6
            if (region := region_of(part, gets / flow.demand_bytes_per_s)) is not None:
                yield SetUse(name, "roi", region)
            fps = int(gets / flow.frame_bytes)
            if fps >= 1:
                yield SetUse(name, "fps", fps)
        if flow is not None and _may_bin(part, flow):
            for factor in range(int(value_of(part.use.bin, 1)) + 1, MOST_BIN + 1):
                yield SetUse(name, "bin", factor)
    for name in cameras:
        yield from _gaps(study, name)


def _gaps(study: Study, name: str) -> Iterator[SetUse]:
    """A pause that makes a guide cycle longer than the delay of its frame."""
    device, part = study.device(name), study.rig.device(name)
    longest = _longest_gap_s(part)
    if longest is None or device.delay_last_s is None or device.cadence_s is None:
        return
    short = device.delay_last_s.high - device.cadence_s
    if not math.isfinite(short):
        return
    gap = math.ceil(((value_of(part.use.gap_s) or 0.0) + short) * 10) / 10
    if short >= 0 and gap <= longest:
        yield SetUse(name, "gap_s", gap)


def highest_limit(study: Study, name: str, good: Callable[[Rig], bool], parts: float = math.inf) -> float | None:
    """The highest transfer limit of a still camera, in MB/s, with which a rig is good; None where none offered is. With
    `parts`, to such a part of the range.

    Found by halving, which holds because a lower limit of one camera never gives it or the others less room.
    """
    flow = study.flow(name)
    if flow is None or flow.kind != "still" or (low := _least_tenths(study, flow)) is None:
        return None

    def fits(tenths: int) -> bool:
        return good(apply(study.rig, SetUse(name, "limit_mb_per_s", tenths / TENTHS)))

    high = math.ceil(study.levels[2].alone[name] / 1e6 * TENTHS)
    if not fits(low):
        return None
    near = max(1.0, (high - low) / parts)
    while high - low > near:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low / TENTHS


# -- all of them at once -------------------------------------------------------------------------------------------


class _Leaves:
    """Whether a rig has nothing to clear but what is stuck. Ends at the first that it has."""

    def __init__(self, stuck: Keys, clear: tuple[Severity, ...]) -> None:
        self.stuck, self.clear, self.last = stuck, clear, ""

    def __call__(self, after: After) -> bool:
        examiner = after.kept.examiner
        names = [name for name in examiner.named if not examiner.never(name, self.clear)]
        if not names:
            return _keys(after.telling(self.clear)) <= self.stuck
        for name in sorted(names, key=lambda name: name != self.last):  # it is often the same check again
            if any(each.severity in self.clear and key_of(each) not in self.stuck for each in after.glimpsed(name)):
                self.last = name
                return False
        return True


def _put_back(kept: Remembered, rig: Rig, good: Callable[[After], bool]) -> Settings:
    """From the easiest settings, each put back as far as it may, those that cost most first: binning, cadence, frames
    a second, regions, limits."""
    kinds = ("bin", "gap_s", "fps", "roi", "limit_mb_per_s")
    study = kept.of(rig).study
    chosen = {(change.part, change.key): change for change in bounds(study)}
    many = len({part for part, _ in chosen}) > 2

    def after(changes: dict[tuple[str, str], SetUse]) -> Rig:
        changed = rig
        for change in changes.values():
            changed = apply(changed, change)
        return changed

    def fits(then: Rig) -> bool:
        return good(kept.of(then))

    for key in sorted(chosen, key=lambda key: kinds.index(key[1])):
        without = {other: change for other, change in chosen.items() if other != key}
        if fits(after(without)):
            chosen = without
            continue
        for value in _between(study, chosen[key]):
            tried = {**chosen, key: SetUse(*key, value)}
            if fits(after(tried)):
                chosen = tried
                break
        if key[1] == "limit_mb_per_s":
            limit = highest_limit(kept.of(after(without)).study, key[0], fits, COARSE if many else math.inf)
            chosen = chosen if limit is None else {**chosen, key: SetUse(*key, limit)}
    done = kept.of(after(chosen))
    done.pay()
    return Settings(tuple(chosen.values()), done)


def _between(study: Study, change: SetUse) -> Iterator[float | int | str]:
    """Values nearer to what is set now than the easiest, nearest first."""
    use = study.rig.device(change.part).use
    if change.key == "bin":
        yield from range(int(value_of(use.bin, 1)) + 1, MOST_BIN)
    elif change.key == "roi":
        yield from regions_down_to(study.rig.device(change.part), str(change.value), COARSE)
    elif change.key == "fps":
        flow = study.flow(change.part)
        most = value_of(use.fps) or (1 / flow.period_s if flow is not None and flow.period_s else 1.0)
        yield from range(math.ceil(most) - 1, 1, -1)


def nearer(study: Study, change: SetUse) -> tuple[SetUse, ...]:
    """The same setting nearer to what it is now, nearest first, in up to `NEARER - 1` even steps."""
    if change.key == "bin":
        factors = (each for each in _between(study, change) if float(each) < float(change.value))
        return tuple(SetUse(change.part, "bin", factor) for factor in factors)
    if change.key == "roi":
        between = regions_down_to(study.rig.device(change.part), str(change.value), NEARER)
        return tuple(SetUse(change.part, "roi", region) for region in between)
    flow, use = study.flow(change.part), study.rig.device(change.part).use
    if flow is None or isinstance(change.value, str):
        return ()
    now = {
        "fps": flow.demand_bytes_per_s / flow.frame_bytes if flow.frame_bytes else 0.0,
        "gap_s": value_of(use.gap_s, 0.0),
        "limit_mb_per_s": study.levels[2].alone[change.part] / 1e6,
    }.get(change.key, math.inf)
    if math.isinf(now):
        return ()
    values = [now + (change.value - now) * part / NEARER for part in range(1, NEARER)]
    if change.key == "fps":
        values = [max(1, math.floor(value)) for value in values]
    told = dict.fromkeys(round(value, 1) for value in values)
    return tuple(SetUse(change.part, change.key, value) for value in told if value != change.value)
