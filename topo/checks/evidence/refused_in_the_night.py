"""The computer refused a device of the rig: no bandwidth to reserve, no resources, or it could not be configured.

Only periodic transfers (sound, video, interrupt endpoints) reserve; a camera that moves its frames in bulk is never
refused for bandwidth. The device is there, and does not work.

A fault, certain.

Wrong if the device worked all the same, or was plugged in again with success.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.evidence_cases import NIGHT_RIG, logged
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.answers import HeldEvidence

REFUSALS = {"bandwidth": "there was no bandwidth left to reserve", "resources": "the controller had no resources left",
            "not-configured": "it could not be configured"}


def find(held: HeldEvidence) -> Iterator[Finding]:
    """One finding for each part that was refused."""
    refused: dict[str, dict[str, int]] = {}
    for each in held.answers.counted:
        if each.kind in REFUSALS and each.part is not None:
            refused.setdefault(each.part, {})[each.kind] = each.count
    for name, kinds in refused.items():
        part = held.study.rig.part(name)
        yield Finding(
            "refused-in-the-night", "fault", "certain", part.id, part.place,
            f"The computer refused {plain(name)}: {'; '.join(REFUSALS[kind] for kind in kinds)}.",
            tuple(Figure(REFUSALS[kind], count, "times", "measured") for kind, count in kinds.items()),
            "it worked all the same, or came up when it was plugged in again",
            Fix(f"Plug {plain(name)} into another controller, or away from the hub whose translator it shares."),
        )


CHECK = Check(
    name="refused-in-the-night",
    summary="the computer refused a device of the rig, as a log tells",
    explanation=__doc__,
    severities=("fault",),
    find=find,
    needs="evidence",
    cases=(
        Case("no bandwidth", NIGHT_RIG, 1, evidence=(logged(
            "[  900.000000] usb 3-1.2: Not enough bandwidth for new device state.",
            "[  900.000000] usb 3-1.2: can't set config #1, error -28"),)),
        Case("nothing refused", NIGHT_RIG, 0, evidence=(logged(),)),
    ),
)
