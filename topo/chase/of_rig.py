"""From a study to wires: the rig as a chase needs it. The one file of this room that reads facts of parts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.chase.wires import Feed, Hookup, Root, Wires
from topo.model.facts import value_of
from topo.model.rig import COMPUTER, Device, Hub
from topo.wiring.crossings import axes_between

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.wiring.topology import Topology

SLEEPY_ROLES = ("filter-wheel", "focuser", "rotator", "flat-panel")
"""Roles that are silent for so long that the system may put them to sleep (common practice, no source)."""
LOAD_AMPS = 1.5
"""Amps from which a camera's cooler counts as a load that steps (common practice, no source)."""


def wires_of(study: Study) -> Wires:
    """The wires of a rig, parts in the order of its tree. Parts that reach no computer are left out."""
    rig, topology = study.rig, study.topology
    wires = tuple(_wire(topology, name) for name in topology.wired if name != COMPUTER)
    roots = tuple(
        Root(s.name, s.controller or "", f"{s.controller}/{s.usb2_bus}")
        for s in rig.computer.sockets
        if s.kind == "usb"
    )
    free = tuple((part, s.name) for part, s in topology.free_sockets() if s.kind == "usb")
    return Wires(
        rig.name,
        wires,
        roots,
        free,
        tuple(Feed(lead.id, lead.source, end) for lead in rig.leads for end in lead.ends),
        tuple(supply.id for supply in rig.supplies),
        tuple(device.id for device in rig.devices if _steps(device)),
        tuple(hub.id for hub in rig.hubs if value_of(hub.facts.powered)),
        tuple(s.name for s in rig.computer.sockets if s.kind == "usb" and s.speed.is_superspeed),
    )


def _wire(topology: Topology, name: str) -> Hookup:
    part, leg = topology.part(name), topology.leg(name)
    assert leg is not None, "a part that is wired has a leg"
    speed = topology.speed(name)
    fast = speed is not None and speed.is_superspeed
    grade = value_of(part.cable.grade)
    crosses = _crosses(topology, name)
    if not isinstance(part, Device):
        fast = fast and isinstance(part, Hub)
        return Hookup(name, "hub", "other", leg.above, leg.socket.name, name, grade, fast, crosses=crosses)
    idle = part.role in SLEEPY_ROLES or bool(value_of(part.facts.must_not_sleep))
    return Hookup(
        name,
        "device",
        part.role,
        leg.above,
        leg.socket.name,
        name,
        grade,
        fast,
        part.sends_frames,
        part.sends_frames,
        idle,
        bool(value_of(part.facts.radio_2g4)),
        leg.socket.kind == "serial",
        value_of(part.use.exposure_s, 0.0) if part.role == "imaging" else 0.0,
        crosses,
    )


def _crosses(topology: Topology, name: str) -> bool | None:
    """Whether a leg's cable runs over an axis of the mount, has joints or is flat; None where nothing says."""
    part, leg = topology.part(name), topology.leg(name)
    assert leg is not None
    if value_of(part.cable.joints, 0) or value_of(part.cable.flat):
        return True
    axes = axes_between(topology.part(leg.above).sits, part.sits)
    return None if axes is None else axes > 0


def _steps(device: Device) -> bool:
    """Heaters, and cameras that take enough to have a cooler."""
    amps = value_of(device.facts.amps_peak) or value_of(device.facts.amps_typical) or 0.0
    return device.role == "dew" or (device.role == "imaging" and amps >= LOAD_AMPS)
