"""Everything that can fail, and what fails with it: controllers, sockets, hubs, adapters, devices, cables, the 12 V
side, the ways in, pulse leads, the computer itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from topo.analysis.study import Study
from topo.frozen import frozen
from topo.model.rig import COMPUTER, Device, Hub, Rig
from topo.place.services import TakenAway
from topo.power.tree import fed_by

FailureKind = Literal[
    "computer", "controller", "port", "hub", "adapter", "device", "cable", "supply", "block", "box", "converter",
    "lead", "way-in", "pulse-lead",
]


@frozen
class CanFail:
    """Something that can fail: what stops with it, what is lost, which parts and sockets are no use meanwhile.

    `stops` are parts without data or power, in the order of the rig. `orphans` still work and have lost their socket;
    what hangs on them comes along.
    """

    kind: FailureKind
    name: str
    stops: tuple[str, ...]
    lost: TakenAway
    dead: tuple[str, ...] = ()
    dead_sockets: tuple[str, ...] = ()
    orphans: tuple[str, ...] = ()


def things(study: Study) -> Iterator[CanFail]:
    """Everything that can fail, in the order of the rig."""
    yield _dark(study, "computer", COMPUTER, (COMPUTER,))
    yield from _controllers_and_ports(study)
    yield from _parts(study)
    for supply in study.rig.supplies:
        yield _dark(study, "supply", supply.id, fed_by(study.rig, supply.id))
    parts = {part.id for part in study.rig.parts}
    feeds: tuple[tuple[FailureKind, tuple[str, ...]], ...] = (
        ("block", tuple(each.id for each in study.rig.blocks)),
        ("box", tuple(each.id for each in study.rig.boxes if each.id not in parts)),
        ("converter", tuple(each.id for each in study.rig.converters)),
    )
    for kind, names in feeds:
        for name in names:
            yield _dark(study, kind, name, fed_by(study.rig, name))
    for lead in study.rig.leads:
        ends = (*lead.ends, *(name for end in lead.ends for name in fed_by(study.rig, end)))
        yield _dark(study, "lead", lead.id, tuple(dict.fromkeys(ends)))
    for way in study.rig.computer.ways_in:
        yield CanFail("way-in", way, (way,) if _is_part(study.rig, way) else (), TakenAway())
    for device in study.rig.devices:
        if device.pulse_lead is not None:
            yield CanFail("pulse-lead", device.id, (), TakenAway(pulse_leads=frozenset({device.id})))


def _is_part(rig: Rig, name: str) -> bool:
    return any(part.id == name for part in rig.devices)


def _controllers_and_ports(study: Study) -> Iterator[CanFail]:
    topology, rig = study.topology, study.rig
    roots = [(leg.plug, part.id) for part in rig.parts if (leg := topology.leg(part.id)) and leg.above == COMPUTER]
    for controller in dict.fromkeys(s.controller for s in rig.computer.sockets if s.controller is not None):
        sockets = tuple(f"{COMPUTER}/{s.name}" for s in rig.computer.sockets if s.controller == controller)
        orphans = tuple(name for plug, name in roots if plug in sockets)
        if orphans:
            yield _cut(study, "controller", controller, orphans, dead_sockets=sockets, orphans=orphans)
    for plug in dict.fromkeys(plug for plug, _ in roots):
        orphans = tuple(name for other, name in roots if other == plug)  # two where a file says so
        yield _cut(study, "port", plug, orphans, dead_sockets=(plug,), orphans=orphans)


def _parts(study: Study) -> Iterator[CanFail]:
    topology, rig = study.topology, study.rig
    for part in (*rig.hubs, *rig.devices):
        wired = topology.leg(part.id) is not None
        if not wired and not isinstance(part, Device):
            continue
        children = topology.children(part.id) if wired else ()
        kind: FailureKind = "hub" if isinstance(part, Hub) else "device"
        if isinstance(part, Device) and any(socket.kind == "serial" for socket in part.sockets):
            kind = "adapter"
        stops = _with_below(study, (part.id,)) if wired else (part.id,)
        lost = TakenAway(frozenset(stops), frozenset({part.id}))
        yield CanFail(kind, part.id, stops, lost, (part.id,), (), children)
    for part in (*rig.hubs, *rig.devices):
        # A cable that failed is replaced, not worked around: what hangs on it keeps its socket.
        if topology.leg(part.id) is not None:
            yield _cut(study, "cable", part.id, (part.id,))


def _cut(
    study: Study, kind: FailureKind, name: str, roots: tuple[str, ...], dead_sockets: tuple[str, ...] = (),
    orphans: tuple[str, ...] = (),
) -> CanFail:  # fmt: skip
    """Parts that lose their data path with all behind them, and keep their power."""
    stops = _with_below(study, roots)
    return CanFail(kind, name, stops, TakenAway(data=frozenset(stops)), (), dead_sockets, orphans)


def _dark(study: Study, kind: FailureKind, name: str, dark: tuple[str, ...]) -> CanFail:
    """Parts without power stop wherever they are plugged in; what hangs on their sockets is left over."""
    if COMPUTER in dark:
        everything = tuple(part.id for part in study.rig.parts)
        return CanFail(kind, name, everything, TakenAway(frozenset(everything), frozenset(dark)), everything)
    parts = study.rig.parts
    dark = tuple(name for name in dark if any(part.id == name for part in parts))
    orphans = tuple(p.id for p in parts if p.plug is not None and p.plug.part in dark and p.id not in dark)
    stops = _with_below(study, dark)
    return CanFail(kind, name, stops, TakenAway(frozenset(stops), frozenset(dark)), dark, (), orphans)


def _with_below(study: Study, names: tuple[str, ...]) -> tuple[str, ...]:
    """Parts and what hangs on their sockets, in the order of the rig."""
    wanted = {*names, *(below for part in names for below in study.topology.below(part))}
    return tuple(part.id for part in study.rig.parts if part.id in wanted)
