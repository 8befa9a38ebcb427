"""Volts through the night: three runs of it, at the low, likely and high end, put together.

Loads are in normal work, those that something happens to at their peak. All of it is an estimate. What falls out is
taken to draw on, as parts that try to come back do.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from topo.frozen import replace
from topo.model.facts import Range3
from topo.model.night import Happening
from topo.model.power import BatteryNight, FallOut, PowerNight
from topo.model.rig import Rig
from topo.power.curve import FedNow
from topo.power.falls import cut_off_with, dark_with
from topo.power.forest import TERMINALS, AsPower
from topo.power.hours import night_seconds, usual_happenings
from topo.power.night_run import FURTHER, FedPlan, Lack, NightRun
from topo.power.tree import FedTree


def night_power(rig: Rig, happenings: Sequence[Happening] | None = None) -> PowerNight:
    """A night with what happens in it; a usual one where that is not given."""
    if not rig.supplies:
        return PowerNight(night_seconds(rig))
    plan, runs = _night_of(*_asked(rig, happenings))
    likely = runs[1]
    amps = tuple(
        (tree.source.id, tuple(_amps(moments[index]) for _, moments in likely.moments))
        for index, tree in enumerate(plan.trees)
    )
    times = tuple(at for at, _ in likely.moments)
    return replace(
        what_falls_out(rig, happenings), times_s=times, volts=tuple(_volts(plan, runs)), amps=amps
    )


def what_falls_out(rig: Rig, happenings: Sequence[Happening] | None = None) -> PowerNight:
    """The same with batteries and what falls out alone, without the volts of each plug at each time."""
    if not rig.supplies:
        return PowerNight(night_seconds(rig))
    plan, runs = _night_of(*_asked(rig, happenings))
    falls = tuple(sorted(_falls(rig, plan, runs), key=lambda each: (each.at_s, each.level != "likely")))
    batteries = tuple(_battery(name, runs, plan.seconds, falls) for name in runs[1].tracks)
    return PowerNight(plan.seconds, batteries=batteries, falls=falls, floors=tuple(plan.floors.items()))


def _asked(rig: Rig, happenings: Sequence[Happening] | None) -> tuple[AsPower, tuple[Happening, ...], float]:
    found = usual_happenings(rig) if happenings is None else tuple(happenings)
    return AsPower(rig), found, night_seconds(rig)


@lru_cache(maxsize=64)
def _night_of(
    held: AsPower, happenings: tuple[Happening, ...], seconds: float
) -> tuple[FedPlan, tuple[NightRun, ...]]:
    """The three runs. Remembered by what they hang on, since no plug of USB changes them."""
    plan = FedPlan(held, happenings)
    return plan, tuple(NightRun(plan, level).run() for level in range(3))


def _volts(plan: FedPlan, runs: Sequence[NightRun]) -> Iterable[tuple[str, tuple[Range3 | None, ...]]]:
    """Volts of each part and converter at each time."""
    things = {part.id for part in plan.rig.parts} | {each.id for each in plan.rig.converters}
    for number, tree in enumerate(plan.trees):
        for index, branch in enumerate(tree.branches):
            series = tuple(
                _three(*(_at(moments[number], index + TERMINALS + 1) for _, moments in here))
                for here in zip(*(run.moments for run in runs), strict=True)
            )
            yield from ((end, series) for end in branch.lead.ends if end in things)


def _at(moment: FedNow | None, joint: int) -> float | None:
    return None if moment is None else moment.volts(joint)


def _amps(moment: FedNow | None) -> float | None:
    return None if moment is None else moment.amps


def _three(low: float | None, likely: float | None, high: float | None) -> Range3 | None:
    """Nothing at all at the low end where it is dark then; None where it is dark at the likely one."""
    if likely is None:
        return None
    return Range3.of(0.0 if low is None else low, likely, likely if high is None else high)


def _falls(rig: Rig, plan: FedPlan, runs: Sequence[NightRun]) -> Iterable[FallOut]:
    """The first time each part falls out, and the first time because a battery ran down; those of the low end where
    they are none of the likely one."""
    told: set[tuple[str, bool]] = set()
    for run, level in ((runs[1], "likely"), (runs[0], "low")):
        now: set[tuple[str, bool]] = set()
        for lack in run.lacks:
            key = lack.part, lack.battery_low
            if key in told or key in now:
                continue
            now.add(key)
            yield _fall(rig, plan, lack, "likely" if level == "likely" else "low")
        told |= now


def _fall(rig: Rig, plan: FedPlan, lack: Lack, level: str) -> FallOut:
    dark = dark_with(rig, lack.part)
    on = tuple(end for tree in plan.trees if tree.source.id == lack.source for end in _ends(tree))
    lasts = None if lack.until_s is None else lack.until_s - lack.at_s
    return FallOut(
        lack.part, lack.source, lack.at_s, lasts,
        "likely" if level == "likely" else "low", lack.battery_low,
        tuple(end for end in on if end in lack.raised and _has_a_peak(plan, end)), dark,
        cut_off_with(rig, (lack.part, *dark)),
    )  # fmt: skip


def _has_a_peak(plan: FedPlan, name: str) -> bool:
    load = plan.forest.loads.get(name)
    return load is not None and load.amps.peak != load.amps.typical


def _ends(tree: FedTree) -> Iterable[str]:
    return (end for branch in tree.branches for end in branch.lead.ends)


def _battery(name: str, runs: Sequence[NightRun], seconds: float, falls: Iterable[FallOut]) -> BatteryNight:
    tracks = [run.tracks[name] for run in runs]
    ends = FURTHER * seconds
    lasts = Range3.of(*((ends if track.used_up_s is None else track.used_up_s) / 3600 for track in tracks))
    return BatteryNight(
        name, seconds / 3600, lasts, Range3.of(*(track.at_dawn for track in tracks)),
        tuple(each for each in falls if each.source == name and each.battery_low),
    )  # fmt: skip
