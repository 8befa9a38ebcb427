"""From the wired rig to resources and flows: the door between USB and everything that computes with plain numbers."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen, replace
from topo.model.facts import Basis, Range3, basis_of, value_of
from topo.model.rig import COMPUTER, Computer, Device, Hub, Part
from topo.model.speed import Speed
from topo.model.traffic import Direction, Flow, FlowKind, LinkKind, Resource, Traffic, Use
from topo.serial.exchange import character_s
from topo.serial.lines import serial_lines
from topo.usb.camera import binned_frame_bytes, frames_per_s
from topo.usb.delivered import Delivered, delivered, delivered_uplink
from topo.usb.frames import Transfer, seconds_per_byte
from topo.usb.periodic import Reservation, reservations
from topo.usb.translator import exchange_seconds_per_byte, split_bus_seconds_per_byte

if TYPE_CHECKING:
    from topo.model.line import SerialLine
    from topo.wiring.topology import Topology, Translator

Way = Literal["in", "out"]
"""To the computer, or from it."""

BULK_PACKET = {Speed.LOW: 8, Speed.FULL: 64, Speed.HIGH: 512, Speed.SUPER: 1024, Speed.SUPER_PLUS: 1024}
"""Largest bulk packet, bytes (USB 2.0 5.8.3, USB 3.2 8.12.1.2). Low speed has no bulk: its interrupt packet."""

SUPERSPEED_SHARING = "how hubs share a SuperSpeed uplink is not settled by any published model: equal shares are taken"
ONE_TRANSLATOR = "how many translators the hub has is not known: one is taken"
ONE_BUS = "which sockets share a 480 Mb/s bus is not known: all sockets of the controller are taken to"


@frozen
class LinkName:
    """What a link is called, before anybody uses it."""

    id: str
    kind: LinkKind
    direction: Direction
    label: str


@frozen
class _Route:
    """The resources of one device's path in one direction, with the bus time of a payload byte on each."""

    uses: tuple[Use, ...]
    fixed_s: Range3
    weight: float


NO_ROUTE = _Route((), Range3(0.0, 0.0, 0.0), float(BULK_PACKET[Speed.FULL]))
"""Of a device whose data takes no link of USB."""


def traffic(topology: Topology, lines: tuple[SerialLine, ...] | None = None) -> Traffic:
    """Resources and flows of a wired rig, in the order of the file. `lines` are its serial lines, where known."""
    builder = _Builder(topology, lines)
    flows = []
    for part in topology.rig.devices:
        builder.reserve(part)
        flow = builder.flow(part)
        if flow is not None:
            flows.append(flow)
    return Traffic(builder.finished(), tuple(flows), builder.lines)


def screen_traffic(topology: Topology, through: str, mb_per_s: float) -> Traffic:
    """What the computer's screen, watched from elsewhere, adds: one flow out by that part, and the links it takes.

    No flow where the rig has no such device, or none of its legs leads to the computer.
    """
    builder = _Builder(topology, None)
    part = next((part for part in topology.rig.devices if part.id == through), None)
    flow = None if part is None else builder.steady(part, "out", mb_per_s * 1e6)
    return Traffic(builder.finished(), () if flow is None else (flow,))


class _Builder:
    def __init__(self, topology: Topology, lines: tuple[SerialLine, ...] | None) -> None:
        self.topology = topology
        self.resources: dict[str, Resource] = {}
        self.lines = serial_lines(topology) if lines is None else lines
        self._asked = {asker.part: (line, asker) for line in self.lines for asker in line.askers}

    def finished(self) -> tuple[Resource, ...]:
        """All resources, with what periodic endpoints reserve taken off their capacity."""
        return tuple(
            replace(r, capacity=r.capacity.scaled(max(0.0, 1.0 - r.reserved))) if r.reserved else r
            for r in self.resources.values()
        )

    # -- flows ------------------------------------------------------------------------------------------------------

    def flow(self, part: Device) -> Flow | None:
        """What a device moves tonight, or None where it moves nothing that is known."""
        moves = _moves(part)
        if moves is None:
            return None
        usb_part = self._usb_part(part)
        line = self._line(part) if moves.kind == "serial" else ()
        if usb_part is None and not line:
            return None
        route = NO_ROUTE if usb_part is None else self._route(usb_part, moves.direction, _exchange(part))
        reserved = self._streams_reserved(part)
        return Flow(
            device=part.id,
            kind=moves.kind,
            direction=moves.direction,
            frame_bytes=moves.frame_bytes,
            period_s=moves.period_s,
            demand_bytes_per_s=moves.demand,
            cap_bytes_per_s=moves.cap,
            # A stream reads the next frame out while one is sent, so nothing is added to each frame.
            fixed_s=route.fixed_s if moves.frame_bytes and moves.kind != "video" else NO_ROUTE.fixed_s,
            weight=route.weight,
            uses=(*line, *(() if reserved else route.uses)),
            basis=moves.basis,
        )

    def steady(self, part: Device, direction: Way, bytes_per_s: float) -> Flow | None:
        """A further flow of a device that asks for so much all the time; None where it has no way to the computer."""
        usb_part = self._usb_part(part)
        if usb_part is None:
            return None
        route = self._route(usb_part, direction)
        return Flow(part.id, "network", direction, 0.0, None, bytes_per_s, bytes_per_s, Range3.of(0.0), route.weight,
                    route.uses, "declared")

    def _streams_reserved(self, part: Device) -> bool:
        """Whether a device sends in bandwidth that it reserves, which `reserve` takes off its bus: nobody shares it."""
        speed = self.topology.speed(part.id)
        return speed is not None and not speed.is_superspeed and part.facts.iso_bytes_per_ms is not None

    def _line(self, part: Device) -> tuple[Use, ...]:
        """The serial line that a device's polls are on, in time of its wire: the line is full where `load` is 1. What
        exchanges take besides their bytes is less time to give, divided over bytes by each part's exchange."""
        if part.id not in self._asked:
            return ()
        line, asker = self._asked[part.id]
        assert line.baud is not None and line.character_s is not None
        ceiling, load = 1e-6 / line.character_s, line.load
        payload = math.fsum(each.payload_bytes / each.period_s for each in line.askers) / 1e6
        on_wire = payload / ceiling
        if line.id not in self.resources:
            gives = Range3(on_wire / load.high, on_wire / load.likely, on_wire / load.low)
            self.resources[line.id] = Resource(
                line.id, "serial-line", "both", line.label, ceiling,
                Range3(payload / load.high, payload / load.likely, payload / load.low), gives,
                legs=line.parts, basis=line.basis, assumption=line.assumption,
            )
        return (Use(line.id, asker.holds_s.low / asker.payload_bytes * on_wire / load.low),)

    def _usb_part(self, part: Hub | Device) -> Hub | Device | None:
        """The part whose USB plug carries a device's data: itself, or the adapter its serial lead ends at."""
        leg = self.topology.leg(part.id)
        if leg is None:
            return None
        if leg.socket.kind == "usb":
            return part if self.topology.speed(part.id) is not None else None
        above = self.topology.part(leg.above)
        return None if isinstance(above, Computer) else self._usb_part(above)

    def _route(self, part: Part, direction: Way, exchange: tuple[float, float] | None = None) -> _Route:
        """The way of a part's data. `exchange`: bytes of a question and its answer, in packets that are not full."""
        speed = self.topology.speed(part.id)
        assert speed is not None
        packet = BULK_PACKET[speed]
        uses: list[Use] = []
        if speed.is_superspeed:
            for leg in self.topology.path(part.id):
                resource = self._superspeed(leg.part, direction)
                uses.append(Use(resource.id, 1e-6 / resource.ceiling_mb_per_s))
        else:
            if speed < Speed.HIGH:
                translator = self.topology.translator(part.id)
                assert translator is not None
                uses.append(Use(self._translator(translator, part).id, _costs(speed, exchange)[0]))
            if (bus := self._bus(part)) is not None and not self._on_root_full_speed(part):
                uses.append(Use(bus.id, _costs(speed, exchange)[1]))
        if (uplink := self._uplink(part, direction)) is not None:
            uses.append(Use(uplink.id, 1e-6 / uplink.ceiling_mb_per_s))
        return _Route(tuple(uses), delivered(speed).fixed_s, float(packet))

    def _on_root_full_speed(self, part: Part) -> bool:
        translator = self.topology.translator(part.id)
        return translator is not None and translator.hub == COMPUTER

    # -- resources --------------------------------------------------------------------------------------------------

    def _bus(self, part: Part) -> Resource | None:
        found = self.topology.usb2_bus(part.id)
        if found is None:
            return None
        name, assumed = found
        label = "USB 2 bus " + name.removeprefix("usb2:")
        basis: Basis = "assumed" if assumed else "profile"
        assumption = ONE_BUS if assumed else ""
        return self._link(
            LinkName(name, "usb2-bus", "both", label), delivered(Speed.HIGH), self._top(part), basis, assumption
        )

    def _translator(self, translator: Translator, part: Part) -> Resource:
        where = translator.hub + (f"/{translator.port}" if translator.port is not None else "")
        label = f"full-speed socket {where}" if translator.hub == COMPUTER else f"translator of {where}"
        basis: Basis = "assumed" if translator.assumed else "profile"
        assumption = ONE_TRANSLATOR if translator.assumed else ""
        link = LinkName(translator.id, "translator", "both", label)
        return self._link(link, delivered(Speed.FULL), part.id, basis, assumption)

    def _superspeed(self, leg_part: str, direction: Way) -> Resource:
        leg = self.topology.leg(leg_part)
        assert leg is not None
        part = self.topology.part(leg_part)
        assert not isinstance(part, Computer)
        own = max(Speed.from_word(value_of(part.own_speed, "high")), part.inner_speed)
        what = delivered(min(own, leg.carries))
        label = f"SuperSpeed leg of {leg_part}, {direction}"
        link = LinkName(f"superspeed:{leg_part}:{direction}", "superspeed", direction, label)
        return self._link(link, what, leg_part, what.basis, SUPERSPEED_SHARING if part.kind == "hub" else "")

    def _uplink(self, part: Part, direction: Way) -> Resource | None:
        root = self.topology.root_socket(part.id)
        fact = None if root is None else self.topology.rig.computer.uplink(root.controller)
        if root is None or fact is None:
            return None
        label = f"uplink of controller {root.controller}, {direction}"
        link = LinkName(f"uplink:{root.controller}:{direction}", "uplink", direction, label)
        return self._link(link, delivered_uplink(fact.value), self._top(part), fact.basis)

    def _top(self, part: Part) -> str:
        """The part on a path that is plugged into the computer itself."""
        return self.topology.path(part.id)[-1].part

    def _link(self, link: LinkName, what: Delivered, leg: str, basis: Basis, assumption: str = "") -> Resource:
        """The resource of a link, made on first use, with one more leg that starts it."""
        known = self.resources.get(link.id) or Resource(
            link.id,
            link.kind,
            link.direction,
            link.label,
            what.ceiling_mb_per_s,
            what.expected,
            what.expected.scaled(1.0 / what.ceiling_mb_per_s),
            basis=basis,
            assumption=assumption,
        )
        if leg not in known.legs:
            known = replace(known, legs=(*known.legs, leg))
        self.resources[link.id] = known
        return known

    # -- reservations -----------------------------------------------------------------------------------------------

    def reserve(self, part: Device) -> None:
        """Takes what a device's interrupt and isochronous endpoints reserve from its translator and its bus."""
        speed = self.topology.speed(part.id)
        if speed is None or speed.is_superspeed:
            return
        kept: Reservation = reservations(part.facts, speed)
        if not kept.own_bus and not kept.high_speed_bus:
            return
        bus = self._bus(part)
        if speed < Speed.HIGH:
            translator = self.topology.translator(part.id)
            assert translator is not None
            self._add_reserved(self._translator(translator, part), kept.own_bus, kept.own_stream)
            if bus is not None and translator.hub != COMPUTER:
                self._add_reserved(bus, kept.high_speed_bus, kept.high_speed_stream)
        elif bus is not None:
            self._add_reserved(bus, kept.own_bus, kept.own_stream)

    def _add_reserved(self, resource: Resource, share: float, stream: float) -> None:
        self.resources[resource.id] = replace(
            resource, reserved=resource.reserved + share, streamed=resource.streamed + stream
        )


@frozen
class _Moves:
    """What a device moves, before it is known which links carry it. Rates in bytes/s, times in s."""

    kind: FlowKind
    direction: Way
    frame_bytes: float
    period_s: float | None
    demand: float
    cap: float
    basis: Basis


def _moves(part: Device) -> _Moves | None:
    frame = binned_frame_bytes(part.facts, part.use)
    if frame is not None:
        return _camera(part, frame)
    if part.has_serial_line:
        return _serial(part)
    rate = value_of(part.use.mb_per_s)
    if part.role in ("network", "storage") and rate:
        cap = (value_of(part.facts.mb_per_s) or math.inf) * 1e6
        kind: FlowKind = "network" if part.role == "network" else "storage"
        return _Moves(kind, value_of(part.use.direction, "out"), 0.0, None, min(rate * 1e6, cap), cap, "declared")
    return None


def _camera(part: Device, frame: int) -> _Moves | None:
    limits = [value_of(part.facts.readout_mb_per_s), value_of(part.use.limit_mb_per_s)]
    reserved = value_of(part.facts.iso_bytes_per_ms)
    limits.append(reserved / 1000.0 if reserved is not None else None)
    cap = min((limit * 1e6 for limit in limits if limit is not None), default=math.inf)
    fps = frames_per_s(part.facts, part.use, frame, cap)
    basis = basis_of(part.facts.readout_mb_per_s)
    if value_of(part.use.mode) == "video":
        demand = min(cap, fps * frame) if fps else cap
        return _Moves("video", "in", frame, 1.0 / fps if fps else None, demand, cap, basis)
    exposure = value_of(part.use.exposure_s)
    period = None if exposure is None else exposure + (value_of(part.use.gap_s) or 0.0)
    return _Moves("still", "in", frame, period, cap, cap, basis)


@lru_cache(maxsize=1024)
def _costs(speed: Speed, exchange: tuple[float, float] | None) -> tuple[float, float]:
    """Seconds of a byte on a part's own link, and on the 480 Mb/s bus it is on or behind; not for SuperSpeed."""
    if exchange is not None and speed is Speed.FULL:
        return exchange_seconds_per_byte(*exchange)
    packet = BULK_PACKET[speed]
    own = seconds_per_byte(speed, Transfer.INTERRUPT if speed is Speed.LOW else Transfer.BULK, packet)
    return own, split_bus_seconds_per_byte(packet) if speed < Speed.HIGH else own


def _exchange(part: Device) -> tuple[float, float] | None:
    """Bytes of a question and of its answer, where a device is asked over a serial line."""
    out, back = value_of(part.serial.bytes_out, 0.0), value_of(part.serial.bytes_in, 0.0)
    return (out, back) if part.has_serial_line and out + back > 0.0 else None


def _serial(part: Device) -> _Moves | None:
    polls = value_of(part.serial.polls_per_s)
    if not polls:
        return None
    size = value_of(part.serial.bytes_out, 0.0) + value_of(part.serial.bytes_in, 0.0)
    asked = polls * size * value_of(part.serial.clients, 1)
    baud = value_of(part.serial.baud)
    cap = 1.0 / character_s(baud, value_of(part.serial.framing, "8N1")) if baud else math.inf
    if asked <= 0:
        return None
    return _Moves("serial", "in", 0.0, 1.0 / polls, min(asked, cap), cap, basis_of(part.serial.polls_per_s))
