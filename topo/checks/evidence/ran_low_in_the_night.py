"""The small board told in its log, or in a watch log, that its own supply sagged.

The kernel of such boards logs it, and logs when the volts are normal again. What drops within the same seconds dropped
because the volts were too low, not for its cable.

A risk, certain.

Wrong if all was well at those times.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.evidence_cases import NIGHT_RIG, logged
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix

if TYPE_CHECKING:
    from topo.model.answers import HeldEvidence


def find(held: HeldEvidence) -> Iterator[Finding]:
    """One finding for the computer, with how often it was told."""
    for each in held.answers.counted:
        if each.kind != "low-volts":
            continue
        computer = held.study.rig.computer
        yield Finding(
            "ran-low-in-the-night", "risk", "certain", computer.id, computer.place,
            "The board's own supply sagged in the night, as its log tells.",
            (Figure("sagged", each.count, "times", "measured"),),
            "all was well at those times",
            Fix("Feed the board by a short, thick lead from the supply made for it, and put what draws much on a "
                f"powered hub. {SHORT}"),
        )


CHECK = Check(
    name="ran-low-in-the-night",
    summary="the board told that its own supply sagged",
    explanation=__doc__,
    severities=("risk",),
    symptoms=("under-voltage in the log",),
    find=find,
    needs="evidence",
    cases=(
        Case("both wordings", NIGHT_RIG, 1, evidence=(logged(
            "[ 2000.000000] Under-voltage detected! (0x00050005)", "[ 2004.000000] Voltage normalised (0x00000000)",
            "[ 2500.000000] hwmon hwmon1: Undervoltage detected!"),)),
        Case("only that it is normal", NIGHT_RIG, 0, evidence=(logged(
            "[ 2004.000000] Voltage normalised (0x00000000)"),)),
    ),
)
