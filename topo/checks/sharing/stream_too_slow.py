"""A video stream gets less of its links than it asks for, so frames are skipped or come late.

A stream asks all the time, so what it gets is its fair share while everything else runs as well. The frame rate wanted
and the frame rate given stand side by side, with the range of what hosts are seen to deliver.

A fault where the stream falls short even alone on its links at all ends of what is uncertain; a risk where it falls
short only beside the others.

Refuted if the program's own count of skipped frames stays at zero while everything runs.
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
    from topo.model.outcome import DeviceOutcome
    from topo.model.traffic import Flow

STREAM = "role: imaging, width_px: 1936, height_px: 1096, sample_bits: 8, readout_mb_per_s: 350, frame_memory_mb: 256"


def find(study: Study) -> Iterator[Finding]:
    """One finding for each stream that gets less than it asks for at some end of what is uncertain."""
    for device in study.devices:
        flow = study.flow(device.id)
        if device.flow == "video" and device.lost != "no" and flow is not None and device.gets_mb_per_s is not None:
            yield _finding(study, device, flow)


def _finding(study: Study, device: DeviceOutcome, flow: Flow) -> Finding:
    part = study.rig.part(device.id)
    wanted_s = flow.frame_bytes / flow.demand_bytes_per_s * 1.001
    alone = device.alone_s is not None and device.alone_s.low > wanted_s
    return Finding(
        name="stream-too-slow",
        severity="fault" if alone and device.lost == "certain" else "risk",
        certainty="certain" if device.lost == "certain" else "possible",
        part=device.id,
        place=part.place,
        message=f"{plain(device.id)} {_asks(device, wanted_s)}: frames are skipped or late.",
        figures=_figures(study, device.id),
        refuted_by="the program counts no skipped frames while everything runs",
        fix=fix_by(
            (),
            lambda after: _figures(after, device.id),
            "Read a smaller part of the frame, use 8 bits, or ask for fewer frames.",
        ),
    )


def _asks(device: DeviceOutcome, wanted_s: float) -> str:
    """Whether it falls short alone at all ends of what is uncertain, alone at some, or only beside the others."""
    if device.alone_s is None or device.alone_s.high <= wanted_s:
        return "asks for more than its links give beside the others"
    if device.alone_s.low > wanted_s:
        return "asks for more than its links give even alone"
    return "may ask for more than its links give, even alone"


def _figures(study: Study, part_id: str) -> tuple[Figure, ...]:
    device, flow = study.device(part_id), study.flow(part_id)
    if flow is None or device.gets_mb_per_s is None:
        return ()
    figures = [Figure("gets", device.gets_mb_per_s, "MB/s", "assumed")]
    if math.isfinite(flow.demand_bytes_per_s):
        figures.insert(0, Figure("asks for", flow.demand_bytes_per_s / 1e6, "MB/s", flow.basis))
    figures.append(
        Figure("frames a second", device.gets_mb_per_s.scaled(1e6 / flow.frame_bytes), "frames/s", "assumed")
    )
    return tuple(figures)


CHECK = Check(
    name="stream-too-slow",
    summary="a video stream gets less of its links than it asks for",
    explanation=__doc__,
    symptoms=("download times out", "slow downloads", "frame rate too low"),
    severities=("fault", "risk"),
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
