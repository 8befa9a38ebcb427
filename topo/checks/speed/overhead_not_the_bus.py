"""Frames come slower than exposed, and their transfer is the least part of it: no cable or socket helps.

Between two frames lie the exposure, the pause that was set, the transfer, and what the camera, its driver and the
program take besides: half a second to three quarters for a single frame have been seen with hobby cameras (published).
With the interval as the program shows it (`seen: {interval_s: …}`) the rest is a subtraction. Where the transfer, with
all others beside it, is a small part of the gap, it is not the bus: shorter cables, faster sockets, another hub change
nothing.

A note: it clears the bus.

Wrong if the gap shrinks with the camera alone on its computer's socket.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study

LEAST_GAP_S = 0.3
"""A gap below this is nobody's trouble (our own proposal, no source)."""

SMALL_PART = 1 / 3
"""The transfer is not it where it is less than this part of the gap (our own proposal, no source)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each camera whose gap between frames is not its transfer."""
    for part in study.rig.devices:
        seen, exposure = value_of(part.seen.interval_s), value_of(part.use.exposure_s)
        device = study.device(part.id)
        if seen is None or exposure is None or device.together_s is None or device.alone_s is None:
            continue
        gap = seen - exposure - value_of(part.use.gap_s, 0.0)
        if gap < LEAST_GAP_S or device.together_s.high > SMALL_PART * gap:
            continue
        yield Finding(
            name="overhead-not-the-bus",
            severity="note",
            certainty="certain",
            part=part.id,
            place=part.place,
            message=f"Between two frames of {plain(part.id)} {gap:.2g} s pass besides its exposure; the transfer is "
            f"{device.alone_s.likely:.2g} of {gap:.2g} s. No cable and no socket helps.",
            figures=(
                Figure("interval seen", seen, "s", basis_of(part.seen.interval_s)),
                Figure("besides exposure and pause", gap, "s", basis_of(part.seen.interval_s, part.use.exposure_s)),
                Figure("download alone", device.alone_s, "s", "profile"),
                Figure("with the others", device.together_s, "s", "profile"),
            ),
            refuted_by="the gap shrinks with the camera alone on a socket of the computer",
            fix=Fix("Look at the driver and the program: a streaming or video mode, a smaller part of the frame, a "
                    "newer driver, no saving and no stretching of each frame. Or expose longer."),
        )


def _guide(interval_s: float, exposure_s: float = 2) -> str:
    return rig(guiding("computer/usb2-1", f"seen: {{interval_s: {interval_s:g}}}", exposure_s=exposure_s))


CHECK = Check(
    name="overhead-not-the-bus",
    summary="frames come slowly, and their transfer is the least part of it",
    explanation=__doc__,
    severities=("note",),
    symptoms=("guide loop is slower than the exposure", "frames come slowly even alone on the bus"),
    find=find,
    scope="controller",
    cases=(
        Case("2 s exposures every 2.1 s", _guide(2.1), 0),
        Case("2 s exposures every 3.2 s", _guide(3.2), 1),
    ),
)
