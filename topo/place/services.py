"""What the night is for, and on what it hangs: the pictures of each imaging camera, the guiding of each mount.

A camera takes pictures as long as it has data and power, the computer runs, and the mount it rides on has power (a
mount whose data path is cut tracks on by itself: common practice, no source). Guiding needs the guide camera, power at
the mount, and one of two ways to the mount: its own data path, or the pulse lead from the guide camera's guide port.
Which mount carries which camera a rig file does not say: with several mounts, each is taken to carry every camera, so
that nothing is told milder than it may be.
"""

from __future__ import annotations

from typing import Literal

from topo.frozen import frozen
from topo.model.rig import COMPUTER, Device, Rig

IMPORTANCE = (
    "guiding", "mount", "imaging", "focuser", "filter-wheel", "network", "rotator", "storage", "power", "dew",
    "other", "flat-panel", "weather",
)  # fmt: skip
"""Roles by what the night misses first (common practice, no source)."""


@frozen
class Service:
    """Pictures of a camera, or guiding by one (`mounts`: what it steers or rides on)."""

    kind: Literal["imaging", "guiding"]
    camera: str
    mounts: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What stops, as a noun: escaped by whoever prints it."""
        return f"imaging with {self.camera}" if self.kind == "imaging" else f"guiding by {self.camera}"


@frozen
class TakenAway:
    """What a failure takes away: parts without data, parts without power or broken, pulse leads (by guide camera)."""

    data: frozenset[str] = frozenset()
    power: frozenset[str] = frozenset()
    pulse_leads: frozenset[str] = frozenset()


def services(rig: Rig) -> tuple[Service, ...]:
    """Everything the night is for, pictures first, in the order of the file."""
    mounts = tuple(device.id for device in rig.devices if device.role == "mount")
    imaging = [Service("imaging", d.id, mounts) for d in rig.devices if d.role == "imaging"]
    guiding = [Service("guiding", d.id, steers(d, mounts)) for d in rig.devices if d.role == "guiding"]
    return (*imaging, *guiding)


def steers(guide: Device, mounts: tuple[str, ...]) -> tuple[str, ...]:
    """The mounts a guide camera steers: the one it names, else all there are."""
    return (guide.guides,) if guide.guides is not None else mounts


def goes_on(rig: Rig, service: Service, lost: TakenAway) -> bool:
    """Whether a service goes on while some parts are lost."""
    gone = lost.data | lost.power
    if service.camera in gone or COMPUTER in gone or any(mount in lost.power for mount in service.mounts):
        return False
    if service.kind == "imaging":
        return True
    guide = rig.device(service.camera)
    wired = {part.id for part in rig.devices if part.plug is not None}
    for mount in service.mounts:
        by_data = mount in wired and mount not in lost.data
        by_pulse = guide.pulse_lead == mount and service.camera not in lost.pulse_leads
        if not by_data and not by_pulse:
            return False
    return True


def rank(rig: Rig, names: tuple[str, ...]) -> int:
    """How important the most important of some parts is: smaller is more."""
    roles = {device.id: device.role for device in rig.devices}
    return min((IMPORTANCE.index(roles[name]) for name in names if name in roles), default=len(IMPORTANCE))
