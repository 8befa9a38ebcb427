"""A part has only just come up, and is known to need longer before it answers.

Filter wheels find their zero, mounts boot, cameras cool their board: connecting too early fails, and the program calls
it not found. Told here is how long the computer has seen the part, which is at most as long as it has had power.

A note: waiting cures it.

Wrong if it answers already.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.scans import scan, wheel
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Device

if TYPE_CHECKING:
    from topo.model.comparison import Comparison


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each part that was seen for less than it needs."""
    for match in comparison.matches:
        part = comparison.declared.rig.part(match.part)
        needs = part.facts.ready_after_s if isinstance(part, Device) else None
        seen_ms = match.own.sleep.connected_ms if match.own is not None else None
        if needs is None or seen_ms is None or seen_ms / 1000 >= needs.value:
            continue
        left = needs.value - seen_ms / 1000
        yield Finding(
            name="not-ready-yet",
            severity="note",
            certainty="possible",
            part=part.id,
            place=part.place,
            message=f"{plain(part.id)} has been connected for {seen_ms / 1000:.0f} s of the {needs.value:g} s that it "
            "needs.",
            figures=(Figure("connected for", seen_ms / 1000, "s", "measured"),
                     Figure("ready after", needs.value, "s", needs.basis)),
            refuted_by="it answers already: it had power before it was plugged in",
            fix=Fix(f"Wait {left:.0f} s more, then connect; start its program last."),
        )


ONE = rig("wheel: {role: filter-wheel, interface: hid, ready_after_s: 60, plug: computer/usb2-1}")

CHECK = Check(
    name="not-ready-yet",
    summary="a part has only just come up and needs longer before it answers",
    tested_by="`topo compare RIG` again a minute later",
    explanation=__doc__,
    symptoms=("not found after power on", "fails right after power on, works later", "refuses to connect at first"),
    severities=("note",),
    find=find,
    needs="comparison",
    cases=(
        Case("long enough", ONE, 0, scan(wheel("3-1", sleep={"connected_ms": 61_000}))),
        Case("20 s of 60", ONE, 1, scan(wheel("3-1", sleep={"connected_ms": 20_000}))),
        Case("not told", ONE, 0, scan(wheel("3-1"))),
    ),
)
