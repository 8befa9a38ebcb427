"""Frames are larger than the kernel's pool for USB buffers (Linux).

Programs that talk to a camera through the kernel's USB file system get their buffers from one pool for all devices, 16
MB unless somebody raised it. A frame that is asked for in one piece, or several frames queued at once, do not fit: the
program fails, and only with large frames, and only on Linux. Many camera drivers ask in small pieces and never notice.
How many frames a program queues is `queued_frames` under `use:`, one where nothing is said.

A risk where somebody said how large the pool is and the frames at work are larger, a note where that is only the usual
size; 'possible' because it depends on the driver. Any user may read the pool's size on the computer, in
`/sys/module/usbcore/parameters/usbfs_memory_mb`.

Wrong if full frames arrive without an error.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import PLAIN_PC, guiding, imaging, rig
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.finding import Finding, Fix
from topo.words.apart import apart

if TYPE_CHECKING:
    from topo.analysis.study import Study

DEFAULT_POOL_MB = 16.0
"""Linux, drivers/usb/core/devio.c; the unit is 2**20 bytes."""

MIB = 1_048_576


def find(study: Study) -> Iterator[Finding]:
    """One finding for the computer, if the frames of its cameras pass the pool."""
    facts = study.rig.computer.facts
    pool = value_of(facts.usbfs_memory_mb)
    if pool == 0 or (pool is None and value_of(facts.os) != "linux"):
        return
    room = pool if pool is not None else DEFAULT_POOL_MB
    frames = [(d.id, d.frame_bytes / MIB * value_of(study.rig.device(d.id).use.queued_frames, 1))
              for d in study.devices if d.frame_bytes and d.speed is not None]
    total = math.fsum(size for _, size in frames)
    if total <= room:
        return
    first = study.rig.part(max(frames, key=lambda frame: frame[1])[0])
    basis = basis_of(facts.usbfs_memory_mb)
    yield Finding(
        name="buffer-pool-too-small",
        severity="risk" if basis in ("declared", "measured") else "note",
        certainty="possible",
        part=first.id,
        place=first.place,
        others=tuple(name for name, _ in frames if name != first.id),
        message=f"{_asked(study, frames)} {apart(total, room, 0)} MiB, and Linux keeps {room:g} MiB for USB transfers"
        f"{'' if pool is not None else ' unless somebody raised it'}. A download that finds no room fails.",
        figures=(
            Figure("asked for at once", round(total, 1), "MiB", "profile"),
            Figure("pool", room, "MiB", basis),
        ),
        refuted_by="full frames arrive without an error",
        fix=Fix(_commands(_enough(total))),
    )


def _asked(study: Study, frames: list[tuple[str, float]]) -> str:
    queued = any(value_of(study.rig.device(name).use.queued_frames, 1) > 1 for name, _ in frames)
    return "The frames that programs queue are" if queued else "The frames of all cameras, one of each, are"


def _commands(megabytes: int) -> str:
    """What to paste: for now, and for good. The parameter's names are the kernel's own (kernel-parameters.txt)."""
    return (
        f"Raise it to {megabytes}, which holds all of this three times; it takes an administrator. Until the next "
        f"restart: `echo {megabytes} | sudo tee /sys/module/usbcore/parameters/usbfs_memory_mb` and for good: add "
        f"`usbcore.usbfs_memory_mb={megabytes}` to the kernel's command line in the boot loader's settings (most "
        "kernels have the USB core built in, and it reads no module options then)."
    )


MOST_POOL_MB = 2047
"""The most the kernel takes (devio.c)."""


def _enough(total: float) -> int:
    """All of it three times, rounded up to the next 100; no more than the kernel takes."""
    return min(MOST_POOL_MB, int(-(-3 * total // 100) * 100))


LINUX = PLAIN_PC.replace("computer:\n", "computer:\n  os: linux\n")

CHECK = Check(
    name="buffer-pool-too-small",
    summary="frames are larger than the kernel's pool for USB buffers",
    tested_by="`topo live` shows the size of the pool now",
    explanation=__doc__,
    symptoms=("camera times out on large frames", "only large frames fail", "out of memory"),
    severities=("risk", "note"),
    find=find,
    scope="no-plug",
    cases=(
        Case("a small guide camera on Linux", rig(guiding("computer/usb2-1"), computer=LINUX), 0),
        Case(
            "a small guide camera that queues eight frames",
            rig(guiding("computer/usb2-1").replace("exposure_s: 2", "queued_frames: 8"), computer=LINUX), 1,
        ),
        Case("a 26 MP camera on Linux", rig(imaging("computer/usb3-1"), computer=LINUX), 1),
        Case("a 26 MP camera elsewhere", rig(imaging("computer/usb3-1")), 0),
    ),
)
