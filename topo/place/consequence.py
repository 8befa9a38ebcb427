"""What a plan comes to, as one value that compares: smaller is better. This is the stated order of every ranking."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TypeVar

from topo.analysis.study import Study
from topo.frozen import frozen
from topo.model.finding import AnyFinding, Finding
from topo.wiring.instructions import each_once

IMPOSSIBLE = (
    "port-current-exceeded",
    "supply-overloaded",
    "wrong-socket",
    "too-many-hubs-in-a-row",
    "too-many-devices",
    "socket-used-twice",
)
"""Findings that make a socket no answer at all where placing a part brings them: advice that can't be followed."""


@frozen(order=True)
class Consequence:
    """Faults, risks, cameras that lose frames, seconds guide frames may come late, the share by which stars get wider
    for it at the harshest, downloads in seconds, busiest link (share at its peak asked), notes, hubs in a row. Compared
    in this order; smaller is better."""

    faults: int
    risks: int
    lost: int
    delay_s: float
    wider: float
    download_s: float
    busiest: float
    notes: int
    depth: int


@frozen
class Sums:
    """What a study adds to a consequence besides its findings, not rounded: sums, and the last two greatest values."""

    lost: int
    delay_s: float
    wider: float
    download_s: float
    busiest: float
    depth: int

    @classmethod
    def of(cls, study: Study, here: frozenset[str] | None = None) -> Sums:
        """Those of a study, or of all of it that hangs on one controller."""
        devices = [device for device in study.rig.devices if here is None or device.id in here]
        alone = (study.alone_s(device.id) for device in devices)
        lost, delay_s = lost_and_late(study, here)
        return cls(
            lost=lost,
            delay_s=delay_s,
            wider=math.fsum(
                each.worst.most for each in study.guided
                if each.worst.costs and (here is None or each.delay.camera in here)
            ),
            download_s=math.fsum(each.likely for each in alone if each is not None),
            busiest=study.busiest(here),
            depth=max((len(study.topology.hubs_above(d.id)) for d in devices), default=0),
        )

    @classmethod
    def together(cls, parts: Iterable[Sums]) -> Sums:
        """Those of a rig from those of its controllers. Sums come in another order, so their last bits may differ."""
        all_ = tuple(parts)
        return cls(
            sum(each.lost for each in all_),
            math.fsum(each.delay_s for each in all_),
            math.fsum(each.wider for each in all_),
            math.fsum(each.download_s for each in all_),
            max((each.busiest for each in all_), default=0.0),
            max((each.depth for each in all_), default=0),
        )


def lost_and_late(study: Study, here: frozenset[str] | None = None) -> tuple[int, float]:
    """Cameras that lose frames, and seconds guide frames may come late, of all or of what hangs on one controller."""
    return (
        sum(study.loses(device.id) for device in study.rig.devices if here is None or device.id in here),
        math.fsum(each.late_last_s.high for each in study.delays if here is None or each.camera in here),
    )


def consequence(study: Study, findings: tuple[Finding, ...]) -> Consequence:
    """The consequence of a rig as it stands, from its study and its findings."""
    return weighed(Sums.of(study), findings)


def weighed(sums: Sums, findings: Iterable[Finding], slack: float = 0.0) -> Consequence:
    """Sums and findings as a consequence. A `slack` above 0 takes that part off each figure, for a bound from below."""
    severities = [finding.severity for finding in findings]
    less = 1.0 - slack
    return Consequence(
        severities.count("fault"),
        severities.count("risk"),
        sums.lost,
        rounded_off(sums.delay_s * less),
        rounded_off(sums.wider * less),
        rounded_off(sums.download_s * less),
        rounded_off(sums.busiest * less),
        severities.count("note"),
        sums.depth,
    )


def rounded_off(value: float) -> float:
    """Rounded so that a difference in the last bit does not decide a ranking. What never ends stays infinite."""
    return value if math.isinf(value) else round(value, 4)


C = TypeVar("C", Finding, AnyFinding)

RANK = {"note": 0, "risk": 1, "fault": 2}
"""How bad severities are beside each other."""


def key_of(finding: AnyFinding) -> tuple[str, str]:
    """What makes two findings the same one before and after a change."""
    return finding.name, finding.part


def new_findings(before: Iterable[AnyFinding], after: Iterable[C]) -> tuple[C, ...]:
    """Findings of `after` that `before` does not have, or has at a lower severity."""
    had: dict[tuple[str, str], int] = {}
    for finding in before:
        had[key_of(finding)] = max(RANK[finding.severity], had.get(key_of(finding), 0))
    return tuple(finding for finding in after if RANK[finding.severity] > had.get(key_of(finding), -1))


def gone_findings(before: tuple[Finding, ...], after: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings of `before` that `after` no longer has."""
    left = {key_of(finding) for finding in after}
    return tuple(finding for finding in before if key_of(finding) not in left)


def fresh_of(before: Iterable[AnyFinding], after: Iterable[C]) -> tuple[C, ...]:
    """Faults and risks that come with a change."""
    return tuple(finding for finding in new_findings(before, after) if finding.severity != "note")


def impossible(before: Iterable[AnyFinding], after: Iterable[C]) -> tuple[C, ...]:
    """Faults and risks that come with a change and make it advice that can't be followed."""
    return tuple(finding for finding in fresh_of(before, after) if finding.name in IMPOSSIBLE)


def in_words(findings: tuple[Finding, ...]) -> str:
    """Findings as a short list: severity, name and part."""
    return ", ".join(each_once(findings))
