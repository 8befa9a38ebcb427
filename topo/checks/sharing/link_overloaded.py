"""A link is asked, all the time, for more than it carries.

Frames of still cameras can wait for each other; streams, network and storage traffic ask again every second. If what
they ask for adds up to more than computers are seen to deliver, something always falls behind. Single downloads do
not count here: a link that is full while a frame downloads is a link in good use.

A fault if the sum is above what computers deliver; certain only if it is above what the protocol allows at all, and
if it is known what is asked for and which sockets share the link. The parts named are those that fill it, the largest
first; what asks for under a hundredth of it is left out.

Wrong if the streams run at full rate together with the copy for a minute.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.help import fix_by
from topo.model.check import Case, Check
from topo.model.facts import Figure, Range3
from topo.model.finding import Certainty, Finding
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.traffic import Resource

MATTERS = 0.01
"""The least part of what is asked of a link that a part has to ask for to be named."""

STREAM = "role: imaging, width_px: 1280, height_px: 960, sample_bits: 8, speed: high, readout_mb_per_s: 37"


def find(study: Study) -> Iterator[Finding]:
    """One finding for each link whose steady flows ask for more than it delivers, at some end of what is uncertain."""
    steady = [use.resource for flow in study.traffic.flows if not flow.is_burst for use in flow.uses]
    for link in study.traffic.resources:
        if link.kind == "serial-line" or steady.count(link.id) < 2:  # one exchange at a time: serial-line-busy
            continue
        asks = _asks(study, link)
        asked = math.fsum(asks.values())
        most = link.ceiling_mb_per_s * max(0.0, 1.0 - link.reserved)
        if len(asks) > 1 and any(asked > carries for carries in _carries(link)):
            filling = sorted((name for name in asks if asks[name] >= asked * MATTERS), key=lambda name: -asks[name])
            if len(filling) > 1:  # what one asks for alone is another finding
                told = math.fsum(each for name, each in asks.items() if _is_told(study, name))
                sure = told > most and not link.assumption
                yield _finding(study, link, tuple(filling), "certain" if sure else "possible")


def _is_told(study: Study, name: str) -> bool:
    """Whether what a flow asks for is no assumption."""
    flow = study.flow(name)
    return flow is not None and flow.basis != "assumed"


def _finding(study: Study, link: Resource, steady: tuple[str, ...], certainty: Certainty) -> Finding:
    return Finding(
        name="link-overloaded",
        severity="fault",
        certainty=certainty,
        part=steady[0],
        place=study.rig.part(steady[0]).place,
        message=f"The {plain(link.label)} is asked for more than it carries, all the time.",
        figures=_figures(study, link),
        others=steady[1:],
        refuted_by="everything runs at its full rate together for a minute",
        fix=fix_by(
            (),
            lambda after: _figures_of(after, link.id),
            "Move one of them to another controller, or ask for less.",
        ),
    )


def _asks(study: Study, link: Resource) -> dict[str, float]:
    """What each steady flow asks of a link, as MB/s of its bulk payload (slow devices cost more time a byte)."""
    asks = {}
    for flow in study.traffic.flows:
        cost = next((use.seconds_per_byte for use in flow.uses if use.resource == link.id), None)
        if flow.is_burst or cost is None:
            continue
        bound = min(flow.demand_bytes_per_s, 1e6 * study.asked_mb_per_s(flow.device))
        asks[flow.device] = bound * cost * link.ceiling_mb_per_s
    return asks


def _carries(link: Resource) -> Range3:
    """What a link delivers beside what is reserved on it, MB/s; nothing where more is reserved than there is."""
    return link.expected_mb_per_s.scaled(max(0.0, 1.0 - link.reserved))


def _figures(study: Study, link: Resource) -> tuple[Figure, ...]:
    return (
        Figure("asked, all the time", math.fsum(_asks(study, link).values()), "MB/s", "declared"),
        Figure("carries", _carries(link), "MB/s", link.basis),
        Figure("ceiling", link.ceiling_mb_per_s, "MB/s", link.basis),
    )


def _figures_of(study: Study, link_id: str) -> tuple[Figure, ...]:
    return next((_figures(study, link) for link in study.traffic.resources if link.id == link_id), ())


CHECK = Check(
    name="link-overloaded",
    summary="what asks a link steadily adds up to more than it carries",
    tested_by="`topo evidence RIG CAPTURE` reads from a USB capture of a minute what each one gets",
    explanation=__doc__,
    severities=("fault",),
    find=find,
    scope="controller",
    cases=(
        Case(
            "one stream on a bus of its own",
            rig(f"a: {{{STREAM}, plug: computer/usb2-1, use: {{mode: video, fps: 30}}}}"),
            0,
        ),
        Case(
            "two streams on one bus",
            rig(
                f"a: {{{STREAM}, plug: computer/usb2-1, use: {{mode: video, fps: 30}}}}",
                f"b: {{{STREAM}, plug: computer/usb2-2, use: {{mode: video, fps: 30}}}}",
            ),
            1,
        ),
    ),
)
