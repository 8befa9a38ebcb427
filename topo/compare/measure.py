"""Measured facts in place of those of the file and its profiles: the rig as it is plugged in now.

What was measured carries the basis "measured". What a scan does not tell stays as it was.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, TypeVar

from topo.compare.replug import Replugged, replugged, unplugged
from topo.frozen import replace
from topo.model.declare import over
from topo.model.facts import Fact, value_of
from topo.model.plain import plain
from topo.model.records import ComputerFacts, DeviceFacts, HubFacts, SerialFacts, System
from topo.model.rig import COMPUTER, Computer, Device, Hub, Rig, Socket, socket_number
from topo.model.speed import Speed
from topo.wiring.kinds import best_mbit, translators
from topo.wiring.measured import DESCRIPTOR, device_facts, hub_facts, measured
from topo.wiring.topology import Leg, Topology

if TYPE_CHECKING:
    from topo.model.comparison import Match
    from topo.model.plugged import PluggedIn
    from topo.model.sighting import Scan, Sighting

SYSTEMS: tuple[System, ...] = ("linux", "windows", "macos")
_W = TypeVar("_W")
FIRST_BOS_VERSION = 2.01
"""A device that can run at SuperSpeed says at least USB 2.10 below it (USB 3.2 9.2.6.6); 2.00 has no BOS at all."""


def as_plugged_in(
    topology: Topology, live: PluggedIn, matches: Sequence[Match], missing: Sequence[str] = ()
) -> Replugged:
    """The rig with every fact the scan tells, its plugs where they were found, and its legs as fast as they run.

    What is missing hangs nowhere, so that nothing is computed as if it ran; its socket is kept for it.
    """
    rig, scan = topology.rig, live.scan
    by_part = {match.part: match for match in matches}
    rig = replace(rig, computer=_computer(rig, scan, topology, by_part))
    for match in matches:
        part = rig.part(match.part)
        if isinstance(part, Hub):
            rig = rig.with_part(replace(part, facts=over(part.facts, _hub(part, match))))
        elif isinstance(part, Device):
            facts = over(part.facts, _device(part, match, scan))
            rig = rig.with_part(replace(part, facts=facts, serial=_serial(part, scan, by_part)))
    for device in rig.devices:
        if device.id not in by_part and (line := _serial(device, scan, by_part)) is not device.serial:
            rig = rig.with_part(replace(device, serial=line))
    found = replugged(replace(unplugged(rig, missing), unseen=tuple(missing)), topology, live, matches)
    return replace(found, rig=_legs(found.rig, by_part))


# -- the computer -----------------------------------------------------------------------------------------------------

def _computer(rig: Rig, scan: Scan, topology: Topology, by_part: Mapping[str, Match]) -> Computer:
    system = next((word for word in SYSTEMS if word == scan.system), None)
    facts = ComputerFacts(usbfs_memory_mb=measured(scan.usbfs_memory_mb, "its kernel"), os=measured(system, "the scan"))
    sockets = _controllers(rig.computer.sockets, topology, by_part)
    return replace(rig.computer, facts=over(rig.computer.facts, facts), sockets=sockets)


def _controllers(
    sockets: tuple[Socket, ...], topology: Topology, by_part: Mapping[str, Match]
) -> tuple[Socket, ...]:
    """Sockets by the controller they are really on, under the names of the file where those agree with the scan.

    Sockets that turn out to share a controller share a name; which 480 Mb/s bus they are on is then not known, unless
    the file had them on one controller already.
    """
    live = {leg.socket.name: c for leg, c in _root_legs(topology, by_part)}
    said: dict[str, list[str]] = {}
    for socket in sockets:
        if socket.name in live and socket.controller is not None:
            said.setdefault(live[socket.name], []).append(socket.controller)
    name_of: dict[str, str] = {}
    for controller, names in said.items():
        taken = names[0] in name_of.values()
        name_of[controller] = f"{names[0]} ({plain(controller, 40)})" if taken else names[0]
    found = []
    for socket in sockets:
        controller = live.get(socket.name, "")
        if controller in name_of and (len(set(said[controller])) > 1 or name_of[controller] != socket.controller):
            socket = replace(socket, controller=name_of[controller], usb2_bus=None, basis="measured")
        found.append(socket)
    return tuple(found)


def _root_legs(topology: Topology, by_part: Mapping[str, Match]) -> Iterator[tuple[Leg, str]]:
    for part in topology.children(COMPUTER):
        match, leg = by_part.get(part), topology.leg(part)
        if match is None or leg is None or match.thing.above != COMPUTER:
            continue
        if (controller := match.thing.seen[0].controller) is not None:
            yield leg, controller


# -- parts ------------------------------------------------------------------------------------------------------------

def _device(part: Device, match: Match, scan: Scan) -> DeviceFacts:
    """How it moves its data and what it reserves is better known to the file than to a descriptor."""
    inside = translators(match.hub_sides[0]) if match.hub_sides else None
    facts = DeviceFacts(hub_translators=measured(inside, DESCRIPTOR))
    if match.own is None:
        return facts
    told = device_facts(match.own, scan)
    beats = part.interface in ("hid", "serial")
    return replace(
        facts,
        speed=_decided(part, (match.own,), told.speed),
        has_serial_number=told.has_serial_number,
        bus_ma=told.bus_ma,
        endpoints=told.endpoints,
        interrupt_bytes=told.interrupt_bytes if beats else None,
        interrupt_interval_ms=told.interrupt_interval_ms if beats else None,
    )


def _hub(part: Hub, match: Match) -> HubFacts:
    """Its sockets and supply are better known to the file: hubs have ports without a socket, and say wrong things."""
    told = hub_facts(match.hub_sides)
    speed = _decided(part, match.hub_sides, told.speed)
    return HubFacts(speed=speed, translators=told.translators, bus_ma=told.bus_ma)


def _decided(part: Hub | Device, seen: Sequence[Sighting], told: Fact[_W] | None) -> Fact[_W] | None:
    """The speed a thing can run at, where the scan decides it: it runs at it, its BOS says it, or it says a USB
    version that has no SuperSpeed."""
    best = best_mbit(seen)
    declared = value_of(part.own_speed)
    if best is None or told is None:
        return None
    known = Speed.from_word(declared) if declared is not None else Speed.LOW
    said = any(side.could_mbit for side in seen)
    old = all(side.usb_version is not None and side.usb_version < FIRST_BOS_VERSION for side in seen)
    return told if Speed.from_mbit(best) > known or said or (old and known.is_superspeed) else None


def _serial(part: Device, scan: Scan, by_part: Mapping[str, Match]) -> SerialFacts:
    """The serial line with the receive timer of its adapter, where a driver tells it."""
    match, interface = by_part.get(part.id), None
    if match is None and part.plug is not None and part.has_serial_line:
        match, interface = by_part.get(part.plug.part), (socket_number(part.plug.socket) or 0) - 1
    if match is None or match.own is None or not part.has_serial_line:
        return part.serial
    ports = [port for port in scan.serial_ports if port.device == match.own.id]
    if interface is not None and len(ports) > 1:
        ports = [port for port in ports if port.interface == interface]
    timer = next((port.latency_timer_ms for port in ports if port.latency_timer_ms is not None), None)
    return part.serial if timer is None else replace(part.serial, latency_timer_ms=measured(timer, "its driver"))


# -- legs --------------------------------------------------------------------------------------------------------------

def _legs(rig: Rig, by_part: Mapping[str, Match]) -> Rig:
    """Legs that run slower or faster than the file has them carry what they were seen to carry, from the computer down.

    Only the leg where it happens is marked: what is behind a slow leg is slow by that.
    """
    topology = Topology(rig)
    for name in topology.wired[1:]:
        match, leg = by_part.get(name), topology.leg(name)
        if match is None or leg is None or leg.socket.kind != "usb" or not match.most_mbit:
            continue
        part = rig.part(name)
        runs = Speed.from_mbit(match.most_mbit)
        own = Speed.from_word(value_of(part.own_speed, "high"))
        would = min(own, leg.carries)
        if match.speed_mbit is None and would <= runs:  # only the most it can be is known
            continue
        if would == runs or (would.is_superspeed and runs > would):
            continue
        rig = rig.with_part(replace(part, leg_speed=measured(runs.word, "the scan")))
        topology = Topology(rig)
    return rig
