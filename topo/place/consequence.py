"""What a plan comes to, as one value that compares: smaller is better. This is the stated order of every ranking."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from topo.analysis.study import Study
from topo.model.finding import Finding
from topo.model.plain import plain

Examine = Callable[[Study], tuple[Finding, ...]]
"""Runs every check on a study."""


@dataclass(frozen=True, slots=True, order=True)
class Consequence:
    """Faults, risks, cameras that lose frames, seconds guide frames may come late, arcseconds meanwhile, downloads in
    seconds, busiest link (share at its peak asked), notes, hubs in a row. Compared in this order; smaller is better."""

    faults: int
    risks: int
    lost: int
    delay_s: float
    drift_arcsec: float
    download_s: float
    busiest: float
    notes: int
    depth: int


def consequence(study: Study, findings: tuple[Finding, ...]) -> Consequence:
    """The consequence of a rig as it stands, from its study and its findings."""
    devices = study.devices
    return Consequence(
        faults=sum(finding.severity == "fault" for finding in findings),
        risks=sum(finding.severity == "risk" for finding in findings),
        lost=sum(device.lost != "no" for device in devices),
        delay_s=_rounded(sum(d.delay_serialised_s.high for d in devices if d.delay_serialised_s is not None)),
        drift_arcsec=_rounded(
            sum(d.drift_serialised_arcsec.high for d in devices if d.drift_serialised_arcsec is not None)
        ),
        download_s=_rounded(sum(d.alone_s.likely for d in devices if d.alone_s is not None)),
        busiest=_rounded(
            max(
                (
                    link.asked_mb_per_s / link.expected_mb_per_s.likely
                    for link in study.links
                    if link.expected_mb_per_s.likely > 0
                ),
                default=0.0,
            )
        ),
        notes=sum(finding.severity == "note" for finding in findings),
        depth=max((len(study.topology.hubs_above(d.id)) for d in devices), default=0),
    )


def _rounded(value: float) -> float:
    """Rounded so that a difference in the last bit never decides a ranking."""
    return round(value, 4)


def key_of(finding: Finding) -> tuple[str, str]:
    """What makes two findings the same one before and after a change."""
    return finding.name, finding.part


def new_findings(before: tuple[Finding, ...], after: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings of `after` that `before` does not have, or has at a lower severity."""
    rank = {"note": 0, "risk": 1, "fault": 2}
    had = {key_of(finding): rank[finding.severity] for finding in before}
    return tuple(finding for finding in after if rank[finding.severity] > had.get(key_of(finding), -1))


def gone_findings(before: tuple[Finding, ...], after: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings of `before` that `after` no longer has."""
    left = {key_of(finding) for finding in after}
    return tuple(finding for finding in before if key_of(finding) not in left)


def in_words(findings: tuple[Finding, ...]) -> str:
    """Findings as a short list: name and part."""
    return ", ".join(f"{finding.name} ({plain(finding.part)})" for finding in findings)
