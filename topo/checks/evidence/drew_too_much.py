"""A port of the rig, or a whole hub, reported over-current during the night.

The kernel says it only where the port is still flagged 100 ms after power was put back, so shorter ones stay untold.
Lines that speak of over-current *protection* tell what a hub can do, not that anything happened, and don't count.

A fault, certain.

Wrong if somebody plugged something else in there, or a plug was wet or bent at that time and no more.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.evidence_cases import NIGHT_RIG, logged
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.answers import HeldEvidence


def find(held: HeldEvidence) -> Iterator[Finding]:
    """One finding for each part: of the port it is in, or of itself where a whole hub is meant."""
    for each in held.answers.counted:
        if each.kind not in ("over-current", "over-current-hub") or each.part is None:
            continue
        part = held.study.rig.part(each.part)
        name = plain(part.id)
        where = f"The port {name} is in" if each.kind == "over-current" else f"The hub {name} as a whole"
        yield Finding(
            "drew-too-much", "fault", "certain", part.id, part.place, f"{where} reported over-current.",
            (Figure("over-current reported", each.count, "times", "measured"),),
            "something else was plugged in there, or a plug was wet or bent at that time",
            Fix(f"Look at the plug of {name}, then give it or its hub a supply that carries it. {SHORT}"),
        )


CHECK = Check(
    name="drew-too-much",
    summary="a port of the rig, or a whole hub, reported over-current, as a log tells",
    explanation=__doc__,
    severities=("fault",),
    find=find,
    needs="evidence",
    cases=(
        Case("one port, twice", NIGHT_RIG, 1, evidence=(logged(
            "[ 2000.000000] usb 3-1-port1: over-current condition",
            "[ 2500.000000] hub 3-1:1.0: over-current condition on port 1"),)),
        Case("only banners", NIGHT_RIG, 0, evidence=(logged(
            "[    2.500000] hub 3-1:1.0: individual port over-current protection",
            "[    2.600000] usb 3-1-port1: over-current change #1"),)),
    ),
)
