"""A video stream gets less of its links than it asks for, so frames are skipped or come late.

A stream asks all the time; downloads come and go. So two rates are given beside the one it asks for: over the night,
and in the dips while a download goes down the same link. What the camera's memory can hold of a dip is not lost.

A fault if the stream asks for more than the protocol allows on its own links. A risk if it asks for more than
computers are seen to deliver, alone or beside the others, or if more than one frame in a hundred falls into dips; a
note below that. Certain only beyond what the protocol allows, since what computers deliver is a published range, not a
law; and only if it is known what the cameras read out and, beside others, which sockets share a link.

Wrong if the program's own count of skipped frames stays at zero while everything runs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.help import fix_by
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import Certainty, Severity
    from topo.model.outcome import DeviceOutcome
    from topo.model.traffic import Flow

FULL = 1.0 + 1e-9
"""Two shares that fill a link to the last bit are not too much; rounding may not make them."""

STREAM = "role: imaging, width_px: 1936, height_px: 1096, sample_bits: 8, readout_mb_per_s: 350, frame_memory_mb: 256"


FEW_SKIPPED = 0.01
"""The share of frames lost in dips below which it is only noted (our own proposal, no source)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each stream that gets less than it asks for at some end of what is uncertain."""
    for flow in study.traffic.flows:
        if flow.kind != "video":
            continue
        device = study.device(flow.device)
        if device.lost != "no" and device.gets_mb_per_s is not None:
            yield _finding(study, device, flow)


def _finding(study: Study, device: DeviceOutcome, flow: Flow) -> Finding:
    part = study.rig.part(device.id)
    severity, certainty, words = _judge(study, device, flow)
    return Finding(
        name="stream-too-slow",
        severity=severity,
        certainty=certainty,
        part=device.id,
        place=part.place,
        message=f"{plain(device.id)} {words}: frames are skipped or late.",
        figures=_figures(study, device.id),
        refuted_by="the program counts no skipped frames while everything runs",
        fix=fix_by(
            (),
            lambda after: _figures(after, device.id),
            "Read a smaller part of the frame, use 8 bits, or ask for fewer frames.",
        ),
    )


def _judge(study: Study, device: DeviceOutcome, flow: Flow) -> tuple[Severity, Certainty, str]:
    """Severity, certainty, and what it asks in words: beyond the protocol, beyond hosts, beside others, in dips."""
    wanted_s = flow.frame_bytes / flow.demand_bytes_per_s * 1.001
    told = flow.basis != "assumed"
    if _beyond(study, flow, (flow,)):
        return "fault", "certain" if told else "possible", "asks for more than its links can ever carry"
    if device.alone_s is not None and device.alone_s.low > wanted_s:
        return "risk", "possible", "asks for more than links like its own are seen to carry, even alone"
    if device.alone_s is not None and device.alone_s.high > wanted_s:
        return "risk", "possible", "may ask for more than its links give, even alone"
    steady = tuple(other for other in study.traffic.flows if not other.is_burst)
    if _beyond(study, flow, steady):
        known = tuple(other for other in steady if other.basis != "assumed")
        sure = told and study.knows_links(device.id) and _beyond(study, flow, known)
        words = "and the others on its links ask for more than these can ever carry"
        return "risk", "certain" if sure else "possible", words
    night = device.night_mb_per_s
    if night is not None and night.low * 1e6 < flow.demand_bytes_per_s * (1 - FEW_SKIPPED):
        return "risk", "possible", "gets less than it asks for beside the others"
    few = device.skipped is not None and device.skipped.high < FEW_SKIPPED
    return "note" if few else "risk", "possible", "gets less than it asks for while others download"


def _beyond(study: Study, stream: Flow, flows: tuple[Flow, ...]) -> bool:
    """Whether flows together ask for more than the protocol allows on some link of a stream."""
    links = {each.id: each for each in study.traffic.resources}
    return any(
        math.fsum(
            min(flow.demand_bytes_per_s, 1.0 / use.seconds_per_byte) * use.seconds_per_byte
            if flow is not stream else flow.demand_bytes_per_s * use.seconds_per_byte
            for flow in flows for use in flow.uses if use.resource == own.resource
        ) > (1.0 - links[own.resource].reserved) * FULL
        for own in stream.uses
    )


def _figures(study: Study, part_id: str) -> tuple[Figure, ...]:
    device, flow = study.device(part_id), study.flow(part_id)
    if flow is None or device.gets_mb_per_s is None or device.night_mb_per_s is None:
        return ()
    per_mb = 1e6 / flow.frame_bytes
    figures = []
    if math.isfinite(flow.demand_bytes_per_s):
        figures.append(Figure("asks for", flow.demand_bytes_per_s / flow.frame_bytes, "frames/s", flow.basis))
    figures.append(Figure("gets over the night", device.night_mb_per_s.scaled(per_mb), "frames/s", "assumed"))
    if device.dip_s > 0.0:
        figures.append(Figure("in dips", device.gets_mb_per_s.scaled(per_mb), "frames/s", "assumed"))
        figures.append(Figure("a dip lasts", device.dip_s, "s", "assumed"))
        if device.dip_every_s is not None:
            figures.append(Figure("a dip comes every", device.dip_every_s, "s", "assumed"))
    if device.skipped is not None:
        figures.append(Figure("frames skipped", device.skipped.scaled(100.0), "%", "assumed"))
    return tuple(figures)


CHECK = Check(
    name="stream-too-slow",
    summary="a video stream gets less of its links than it asks for",
    tested_by="`topo evidence RIG CAPTURE` reads from a USB capture of a minute what it gets",
    explanation=__doc__,
    symptoms=("download times out", "slow downloads", "frame rate too low"),
    severities=("fault", "risk", "note"),
    find=find,
    scope="controller",
    cases=(
        Case(
            "a stream that fits its SuperSpeed link",
            rig(f"planet-camera: {{{STREAM}, speed: super, plug: computer/usb3-1, use: {{mode: video, fps: 100}}}}"),
            0,
        ),
        Case(
            "the same stream on USB 2",
            rig(f"planet-camera: {{{STREAM}, speed: super, plug: computer/usb2-1, use: {{mode: video, fps: 100}}}}"),
            1,
        ),
    ),
)
