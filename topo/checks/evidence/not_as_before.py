"""Two saved scans, one before and one after, tell something of a part differently.

A scan before the night and one after it show what no log was kept of: a part that is gone, one that left and came back
(it has another device number), that runs slower than before, that is in another socket, or whose port counted
over-current. When it happened they do not tell.

A risk. 'Possible', since it may have been done by hand.

Wrong if it was unplugged, moved or replaced by hand between the two scans.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.evidence_cases import NIGHT_RIG
from topo.checks.scans import hub, scan, seen
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.answers import HeldEvidence


def find(held: HeldEvidence) -> Iterator[Finding]:
    """One finding for each part of the rig and each pair of scans."""
    for pair in held.answers.between:
        told: dict[str, list[str]] = {}
        for change in pair.changes:
            if change.part is not None and change.words not in told.setdefault(change.part, []):
                told[change.part].append(change.words)
        for name, words in told.items():
            part = held.study.rig.part(name)
            hours = (pair.to_s - pair.from_s) / 3600
            yield Finding(
                name="not-as-before",
                severity="risk",
                certainty="possible",
                part=part.id,
                place=part.place,
                message=f"{plain(part.id)} {plain(' and '.join(words), 300)}, by the second of two scans.",
                figures=(Figure("time between the scans", hours, "h", "measured"),) if hours > 0 else (),
                refuted_by="it was unplugged, moved or replaced by hand between the two scans",
                fix=Fix(f"Look at the plug and cable of {plain(part.id)}; let `topo watch` note the next night."),
            )


def _scan(when: str, guide_mbit: float, guide_number: int) -> str:
    return scan(hub("3-1", vendor_id="2222", product_id="0610", devnum=2),
                seen("3-1.1", guide_mbit, vendor_id="3333", product_id="1201", devnum=guide_number), when=when)


BEFORE = _scan("2026-11-24T20:00:00+00:00", 480, 3)

CHECK = Check(
    name="not-as-before",
    summary="two saved scans of a night tell something of a part differently",
    tested_by="`topo watch RIG` notes what changes through the next night",
    explanation=__doc__,
    severities=("risk",),
    find=find,
    needs="evidence",
    cases=(
        Case("the same before and after", NIGHT_RIG, 0, evidence=(BEFORE, _scan("2026-11-25T05:00:00+00:00", 480, 3))),
        Case("one scan alone", NIGHT_RIG, 0, evidence=(BEFORE,)),
        Case("left, and came back slower", NIGHT_RIG, 1,
             evidence=(BEFORE, _scan("2026-11-25T05:00:00+00:00", 12, 9))),
    ),
)
