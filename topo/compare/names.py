"""What each part's program has to be told: the port now, the name that lasts, and who holds it. Values for reports."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from topo.compare.cameras import Taken, cameras_of, takes
from topo.compare.ports import LastingName, LivePort, has_port, lasting_name, meant_now, ports_of_part
from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.rig import Device

Opens = Literal["its port", "another part", "something else", "nothing", "not known"]
"""What the name in the file means now."""


@frozen
class PartName:
    """One part with a serial port, or that should have one. `holders` are short names of programs."""

    part: str
    port: LivePort | None
    lasting: LastingName | None
    opens: str | None
    means: Opens
    means_part: str | None = None
    holders: tuple[str, ...] = ()


@frozen
class RigNames:
    """Names of ports and, of cameras, what their programs would take; in the order of the file."""

    parts: tuple[PartName, ...]
    cameras: tuple[Taken, ...]


def rig_names(comparison: Comparison) -> RigNames:
    """The names of a rig as it is plugged in."""
    rig = comparison.declared.rig
    found = []
    for part in rig.devices:
        ports = ports_of_part(comparison, part.id)
        if ports:
            found += [_name(comparison, part.id, each, part.opens) for each in ports]
        elif _should_have(comparison, part) and comparison.scan.limits.serial_ports == "all":
            found.append(_without(comparison, part.id, part.opens))
    cameras = tuple(told for camera in cameras_of(comparison) if (told := takes(comparison, camera)) is not None)
    return RigNames(tuple(found), cameras)


def _should_have(comparison: Comparison, part: Device) -> bool:
    """True for a part that should have a port; an adapter with sockets in use gave its ports to what is there."""
    topology = comparison.declared.topology
    legs = [topology.leg(child) for child in topology.children(part.id)]
    used = any(leg is not None and leg.socket.kind == "serial" for leg in legs)
    return not used and (part.opens is not None or has_port(part))


def _name(comparison: Comparison, part: str, each: LivePort, opens: str | None) -> PartName:
    means, who = _means(comparison, part, opens)
    return PartName(part, each, lasting_name(comparison, each), opens, means, who, _holders(comparison, each))


def _without(comparison: Comparison, part: str, opens: str | None) -> PartName:
    means, who = _means(comparison, part, opens)
    return PartName(part, None, None, opens, means, who)


def _means(comparison: Comparison, part: str, opens: str | None) -> tuple[Opens, str | None]:
    now = meant_now(comparison, opens) if opens is not None else None
    if now is None:
        return "not known", None
    if not now:
        return "nothing", None
    if any(each.part == part for each in now):
        return "its port", part
    return ("another part", now[0].part) if now[0].part is not None else ("something else", None)


def _holders(comparison: Comparison, each: LivePort) -> tuple[str, ...]:
    holding = comparison.scan.holding
    names = [h.program for h in holding.holders if h.name == each.port.name and not h.gone] if holding else []
    return tuple(sorted({name or "?" for name in names}))
