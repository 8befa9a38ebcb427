"""How often each part of a rig moves something: the seconds of its cycle, where the file or a profile tells it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from topo.model.facts import value_of

if TYPE_CHECKING:
    from topo.model.rig import Device, Rig


def cycles_of(rig: Rig) -> Mapping[str, float]:
    """Seconds of a cycle by part: an exposure and the pause after it, or the time between two questions. What hangs on
    a serial adapter counts for the adapter, which is what a scan sees."""
    found: dict[str, float] = {}
    for device in rig.devices:
        seconds = _cycle(device)
        if seconds is None:
            continue
        above = next((d.id for d in rig.devices if device.plug is not None and d.id == device.plug.part and any(
            s.kind == "serial" and s.name == device.plug.socket for s in d.sockets)), device.id)
        found[above] = min(seconds, found.get(above, seconds))
    return found


def _cycle(device: Device) -> float | None:
    exposure, polls = value_of(device.use.exposure_s), value_of(device.serial.polls_per_s)
    if device.sends_frames and exposure is not None:
        return exposure + value_of(device.use.gap_s, 0.0)
    return 1.0 / polls if polls else None
