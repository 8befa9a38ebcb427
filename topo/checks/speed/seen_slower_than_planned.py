"""A capture showed a camera's data come slower than the plan takes it to: then every delay is longer than planned.

What computers get through is a range that was seen with others. Where a capture measured this camera itself, alone or
with others on the wire (`seen: {alone_mb_per_s: …, together_mb_per_s: …}`, which `topo evidence --write-facts` writes),
its own figure is the better one. A computer that asks late, a driver that asks for little at a time, or a leg that
repeats much, makes it slower; a meter cannot tell these apart, but they all cost time that the plan does not have.

A note: with the camera's own readout (`readout_mb_per_s`) or a transfer limit in the file, the plan follows.

Wrong if another capture, of a night without trouble, shows it as fast as planned.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.model.check import Case, Check
from topo.model.facts import Fact, Figure, Range3, basis_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study

CLEARLY = 0.8
"""Slower than four fifths of the least that is planned (our own proposal, no source)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each camera that a capture showed clearly slower than the slow end of the plan."""
    for part in study.rig.devices:
        device = study.device(part.id)
        rates = ((part.seen.alone_mb_per_s, device.alone_s, "alone"),
                 (part.seen.together_mb_per_s, device.together_s, "with others"))
        found = [pair for seen, takes, how in rates for pair in _slower(seen, takes, device.frame_bytes, how)]
        if found:
            names = " and ".join(figure.name.removesuffix(", seen") for figure in found[::2])
            yield Finding(
                name="seen-slower-than-planned",
                severity="note",
                certainty="certain",
                part=part.id,
                place=part.place,
                message=f"{plain(part.id)} was seen to send slower than planned ({names}); its downloads and what "
                "waits for them take longer than the figures here say.",
                figures=tuple(found),
                refuted_by="a capture of another night shows it as fast as planned",
                fix=Fix("Look at its driver's settings of USB speed and queue, and give it a socket of the computer; "
                        "or write the lower rate as `limit_mb_per_s`, so that the plan follows."),
            )


def _slower(
    seen: Fact[float] | None, takes: Range3 | None, frame_bytes: int | None, how: str
) -> Iterator[Figure]:
    if seen is None or takes is None or frame_bytes is None or takes.high <= 0:
        return
    least = frame_bytes / takes.high / 1e6
    if seen.value < CLEARLY * least:
        yield Figure(f"{how}, seen", seen.value, "MB/s", basis_of(seen))
        yield Figure(f"{how}, planned at least", least, "MB/s", "profile")


CHECK = Check(
    name="seen-slower-than-planned",
    summary="a capture showed a camera's data come slower than the plan takes it to",
    explanation=__doc__,
    severities=("note",),
    find=find,
    scope="controller",
    cases=(
        Case("as planned", rig(guiding("computer/usb2-1", "seen: {alone_mb_per_s: 36}")), 0),
        Case("nothing was seen", rig(guiding("computer/usb2-1")), 0),
        Case("half as fast", rig(guiding("computer/usb2-1", "seen: {alone_mb_per_s: 12}")), 1),
    ),
)
