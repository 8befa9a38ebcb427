"""Settings that take a fault away without moving a plug: a camera's transfer limit, binning, frame rate.

A limit is computed, not guessed: the highest value, to a tenth of a MB/s, with which the finding is gone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from topo.analysis.study import Study
from topo.model.change import SetUse
from topo.model.finding import Finding, Severity
from topo.place.consequence import Consequence, Examine, consequence, key_of
from topo.wiring.apply import apply

TENTHS = 10
"""Limits are searched in tenths of a MB/s: finer than any camera's own setting."""


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings that clear findings, with the rig after them and what is left."""

    changes: tuple[SetUse, ...]
    study: Study
    findings: tuple[Finding, ...]
    consequence: Consequence


def settings(study: Study, examine: Examine, clear: tuple[Severity, ...]) -> Settings:
    """Settings for every finding of the severities `clear` that a setting takes away, one finding after the other.

    For each finding the first kind of setting that works is taken, in this order: the camera's own transfer limit, the
    limits of those it shares with, frames a second, binning. A setting that brings a new finding is not taken.
    """
    changes: list[SetUse] = []
    findings = examine(study)
    for finding in [f for f in findings if f.severity in clear]:
        if key_of(finding) not in map(key_of, findings):
            continue
        for change in _offers(study, examine, finding):
            after = Study(apply(study.rig, change), fixes=False)
            then = examine(after)
            if key_of(finding) not in map(key_of, then) and _no_worse(findings, then, clear):
                changes.append(change)
                study, findings = after, then
                break
    return Settings(tuple(changes), study, findings, consequence(study, findings))


def _no_worse(before: tuple[Finding, ...], after: tuple[Finding, ...], clear: tuple[Severity, ...]) -> bool:
    had = {key_of(finding) for finding in before if finding.severity in clear}
    return all(key_of(finding) in had for finding in after if finding.severity in clear)


def _offers(study: Study, examine: Examine, finding: Finding) -> Iterator[SetUse]:
    cameras = [
        name for name in (finding.part, *finding.others) if (flow := study.flow(name)) is not None and flow.frame_bytes
    ]
    for name in cameras:
        limit = highest_limit(study, examine, finding, name)
        if limit is not None:
            yield SetUse(name, "limit_mb_per_s", limit)
    for name in cameras:
        flow = study.flow(name)
        use = study.rig.part(name).use
        device = study.device(name)
        if flow is not None and flow.kind == "video" and device.gets_mb_per_s is not None:
            fps = int(device.gets_mb_per_s.low * 1e6 / flow.frame_bytes)
            if fps >= 1:
                yield SetUse(name, "fps", fps)
        for factor in (2, 3, 4):
            if factor > int(use.value("bin", 1)):
                yield SetUse(name, "bin", factor)


def highest_limit(study: Study, examine: Examine, finding: Finding, name: str) -> float | None:
    """The highest transfer limit of a camera, in MB/s, with which a finding is gone; None where none is.

    Found by halving, which holds because a lower limit of one camera never gives it or the others less room.
    """
    flow = study.flow(name)
    device = study.device(name)
    if flow is None or flow.kind != "still" or not device.asked_mb_per_s:
        return None

    def gone(tenths: int) -> bool:
        after = Study(apply(study.rig, SetUse(name, "limit_mb_per_s", tenths / TENTHS)), fixes=False)
        return key_of(finding) not in map(key_of, examine(after))

    low, high = 1, int(device.asked_mb_per_s * TENTHS)
    if high < 2 or not gone(low):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if gone(middle) else (low, middle)
    return low / TENTHS
