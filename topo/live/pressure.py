"""How long programs had to wait for processor, disk and memory: what the kernel keeps in /proc/pressure.

A line is `some avg10=1.23 avg60=… total=…`: the share of the last 10 s in which at least one program waited, in per
cent (the kernel's documentation, accounting/psi). A guide frame that comes late while programs wait for the disk is
late for the disk, not for the bus.
"""

from __future__ import annotations

import re

from topo.live.beside import Beside
from topo.model.watchnote import Pressure

SOME = re.compile(rb"^some avg10=([0-9]{1,3}(?:\.[0-9]{1,4})?)\b", re.MULTILINE)
BUSY_PERCENT = 20.0
"""From this share on a note says so (judgement, no source)."""
WORDS = (("io", "the disk"), ("memory", "memory"), ("cpu", "the processor"))


def pressure(beside: Beside) -> Pressure | None:
    """The pressure now, or None where this system keeps none."""
    found = {name: _some(beside.read(f"proc/pressure/{name}")) for name in ("cpu", "io", "memory")}
    if all(value is None for value in found.values()):
        return None
    return Pressure(found["cpu"], found["io"], found["memory"])


def _some(data: bytes | None) -> float | None:
    match = SOME.search(data or b"")
    return min(100.0, float(match[1])) if match else None


def busy_words(told: Pressure | None) -> str:
    """What was busy, to be added to a note; empty where nothing was."""
    shares = [(word, getattr(told, name)) for name, word in WORDS] if told is not None else []
    busy = [f"{word} {share:.0f} %" for word, share in shares if share is not None and share >= BUSY_PERCENT]
    return f"; programs waited in the last 10 s for {', '.join(busy)} of the time" if busy else ""
