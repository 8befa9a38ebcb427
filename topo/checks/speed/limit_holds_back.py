"""A camera's transfer limit, set for a slower path, holds it back on the one it has now.

Limits stay in a driver's settings. After a move from a USB 2 socket or cable to a SuperSpeed one the camera still sends
at what it was once set to, and every download takes as long as before.

A note: it costs time between pictures, nothing else. It is told only where the limit keeps nobody from anything: with
the limit as high as the path carries, no other part would wait for the camera.

Wrong if the limit was set on purpose, against heat or noise in the picture.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.help import fix_by
from topo.checks.speed.limit_above_path import limit_of, path_mb_per_s
from topo.model.change import SetUse
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.finding import Finding
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study

HELD_BACK_BY = 1.5
"""Told where the path carries so much more (our own proposal, no source)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each camera that its own limit holds back for nothing."""
    for part in study.rig.devices:
        limit = limit_of(study, part.id)
        if limit is None:
            continue
        path = min(path_mb_per_s(study, part.id).low, value_of(part.facts.readout_mb_per_s, math.inf))
        if path == math.inf:  # no link of it and no readout is known: nothing says what the limit holds back
            continue
        freed = math.floor(path)
        free = SetUse(part.id, "limit_mb_per_s", freed)
        if freed > HELD_BACK_BY * limit and not _disturbs(study.what_if(free), part.id):
            yield Finding(
                name="limit-holds-back",
                severity="note",
                certainty="certain",
                part=part.id,
                place=part.place,
                message=f"{plain(part.id)} could send {freed:.0f} MB/s on its path, and its transfer limit holds it to "
                f"{limit:g}.",
                figures=_figures(study, part.id),
                refuted_by="the limit was set on purpose, against heat or noise in the picture",
                fix=fix_by((free,), partial(_figures, name=part.id),
                           "Raise the limit in the camera's driver."),
            )


def _disturbs(study: Study, name: str) -> bool:
    return any(name in pair for level in study.levels for pair in level.clashes)


def _figures(study: Study, name: str) -> tuple[Figure, ...]:
    part = study.rig.device(name)
    return (
        Figure("transfer limit", value_of(part.use.limit_mb_per_s), "MB/s", basis_of(part.use.limit_mb_per_s)),
        Figure("download", study.device(name).alone_s, "s", "profile"),
    )


def _camera(limit: float, plug: str) -> str:
    return rig(f"main-camera: {{role: imaging, width_px: 6248, height_px: 4176, speed: super, readout_mb_per_s: 350, "
               f"frame_memory_mb: 256, plug: {plug}, use: {{exposure_s: 60, limit_mb_per_s: {limit:g}}}}}")


CHECK = Check(
    name="limit-holds-back",
    summary="a camera's transfer limit holds it back on the path it has now",
    explanation=__doc__,
    severities=("note",),
    symptoms=("downloads are as slow as before on the new socket",),
    find=find,
    scope="controller",
    cases=(
        Case("30 MB/s on USB 2", _camera(30, "computer/usb2-1"), 0),
        Case("30 MB/s at SuperSpeed", _camera(30, "computer/usb3-1"), 1),
        Case("300 MB/s at SuperSpeed", _camera(300, "computer/usb3-1"), 0),
    ),
)
