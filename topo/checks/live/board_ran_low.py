"""The small board's own supply sagged since it was started: the board says so itself.

Small boards watch the volts at their own input and keep a flag that stays set until the next start. Below some 4.6 V
they slow down, and what is plugged into them resets: random faults that look like cables. The cause is the board's
supply, its lead (thin and long 5 V leads lose most of it), or too much drawn from the sockets.

A risk, certain: it happened, at a time that nobody knows; `topo watch` notes when.

Wrong if the flag stays clear after a restart through a night with everything on.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.checks.scans import scan, seen
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix

if TYPE_CHECKING:
    from topo.model.comparison import Comparison


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for the computer, if its flag is set."""
    if not comparison.scan.low_volts:
        return
    computer = comparison.study.rig.computer
    yield Finding(
        name="board-ran-low",
        severity="risk",
        certainty="certain",
        part=computer.id,
        place=computer.place,
        message="The board's own supply sagged since it was started: its flag says so.",
        refuted_by="the flag stays clear after a restart through a night with everything on",
        fix=Fix("Feed the board by a short, thick lead from the supply made for it, and put what draws much on a "
                f"powered hub. {SHORT}"),
    )


CHECK = Check(
    name="board-ran-low",
    summary="the board's own supply sagged since it was started",
    explanation=__doc__,
    severities=("risk",),
    symptoms=("random faults on a small board", "under-voltage"),
    find=find,
    needs="comparison",
    cases=(
        Case("its flag is clear", rig(guiding("computer/usb3-1")), 0, scan(seen("1-1"), low_volts=False)),
        Case("its flag is set", rig(guiding("computer/usb3-1")), 1, scan(seen("1-1"), low_volts=True)),
        Case("a computer without one", rig(guiding("computer/usb3-1")), 0, scan(seen("1-1"))),
    ),
)
