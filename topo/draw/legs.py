"""What is written on each wire and each place where wires meet: speeds, loads, where guiding meets imaging, limits."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Literal

from topo.draw.scene import Load, Mark, Wire, WireKind
from topo.draw.words import length_text, share_text
from topo.model.facts import value_of
from topo.model.outcome import Limit, LinkOutcome
from topo.model.plain import plain
from topo.model.rig import COMPUTER, Computer, Device, Hub, Part
from topo.model.speed import Speed
from topo.wiring.crossings import crossings
from topo.words.lists import counted

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.wiring.topology import Leg

MEET = "guiding meets imaging"
SERIAL_LINE = "serial line"
BESIDE = "both, on separate wires: no clash"


class Legs:
    """Looks up what a study says of legs, hubs and controllers."""

    def __init__(self, study: Study) -> None:
        self.study = study
        self.topology = study.topology
        self._on: dict[str, list[LinkOutcome]] = {}
        for link in study.links:
            for leg in link.legs:
                self._on.setdefault(leg, []).append(link)
        self._axes = {each.part: each.axes for each in crossings(study.rig) if each.kind == "data"}
        self._limits: dict[tuple[str, str], list[tuple[str, Limit]]] = {}
        for device in study.devices:
            if device.limited_by is not None:
                place = "node" if device.limited_by.element == "hub" else "wire"
                self._limits.setdefault((place, device.limited_by.part), []).append((device.id, device.limited_by))
        roles = {part.id: part.role for part in study.rig.devices}
        pairs = [pair for pair in study.shared if roles.get(pair.other) == "imaging"]
        self._pairs = tuple((pair.guide, pair.other) for pair in pairs)
        self._apart = {link for pair in pairs for link in pair.links
                       if self.topology.common_ancestor((pair.guide, pair.other)) == COMPUTER}

    # -- wires ------------------------------------------------------------------------------------------------------

    def wire(self, part_id: str, key: str, above: str, below: str) -> Wire:
        """The wire a part hangs on, with its figures and marks."""
        leg = self.topology.leg(part_id)
        assert leg is not None
        behind = (part_id, *self.topology.below(part_id))
        kind = self._kind(leg, behind)
        return Wire(
            key, kind, above, below, socket=plain(leg.socket.name), speed=self._speed(leg, behind, kind),
            length=self._length(part_id), load=self._load(part_id), power=_draw(self.topology.part(part_id)),
            carries=self._roles(behind), marks=(*self._sharing(behind), *self._limit_marks("wire", part_id)),
        )

    def _length(self, part_id: str) -> str:
        """How long the cable is, and what it runs over."""
        axes = self._axes.get(part_id)
        over = "" if axes is None else "over both axes" if axes == 2 else "over one axis"
        leg = self.topology.leg(part_id)
        assert leg is not None
        return ", ".join(words for words in (length_text(leg.cable), over) if words)

    def _kind(self, leg: Leg, behind: Iterable[str]) -> WireKind:
        if leg.socket.kind == "serial":
            return "serial"
        speeds = [speed for name in behind if (speed := self.topology.speed(name)) is not None]
        own = self.topology.part(leg.part)
        if (isinstance(own, Hub) or (isinstance(own, Device) and own.has_hub)) and (
            best := min(own.inner_speed, leg.carries)
        ).is_superspeed:
            speeds = speeds if own.kind == "device" or speeds else [best]
        fast = any(speed.is_superspeed for speed in speeds)
        slow = any(not speed.is_superspeed for speed in speeds)
        return "both" if fast and slow else "superspeed" if fast else "usb2"

    def _speed(self, leg: Leg, behind: tuple[str, ...], kind: WireKind) -> str:
        if kind == "serial":
            part = self.topology.part(leg.part)
            baud = value_of(part.serial.baud) if isinstance(part, Device) else None
            return f"{baud} baud" if baud else "serial"
        speeds = [speed for name in behind if (speed := self.topology.speed(name)) is not None]
        fast = max((speed for speed in speeds if speed.is_superspeed), default=None)
        slow = max((speed for speed in speeds if not speed.is_superspeed), default=None)
        if self.topology.part(leg.part).has_hub and slow is not None:
            slow = min(Speed.HIGH, leg.carries)
        return " + ".join(speed.label for speed in (fast, slow) if speed is not None)

    def _load(self, part_id: str) -> Load | None:
        here = self._on.get(part_id, ())
        if (line := next((link for link in here if link.kind == "serial-line"), None)) is not None:
            return Load(f"{SERIAL_LINE} {share_text(line.load_peak)}", min(1.0, line.load_peak))
        peak = max((link.load_peak for link in here if link.kind == "superspeed"), default=None)
        return None if peak is None else Load(f"{share_text(peak)} full", peak)

    def _roles(self, behind: Iterable[str]) -> tuple[str, ...]:
        found = {self.topology.part(name).role for name in behind}
        return tuple(role for role in ("imaging", "guiding") if role in found)

    def _sharing(self, behind: tuple[str, ...]) -> tuple[Mark, ...]:
        inside = set(behind)
        if any(guide in inside and other in inside for guide, other in self._pairs):
            return (Mark("meet", MEET),)
        return (Mark("beside", BESIDE),) if len(self._roles(behind)) == 2 else ()

    # -- nodes ------------------------------------------------------------------------------------------------------

    def node_marks(self, part_id: str) -> tuple[Mark, ...]:
        """What a hub keeps others from."""
        return self._limit_marks("node", part_id)

    def _limit_marks(self, place: Literal["node", "wire"], part_id: str) -> tuple[Mark, ...]:
        found = self._limits.get((place, part_id), ())
        if not found:
            return ()
        if place == "wire":
            element = {"port": "socket"}.get(found[0][1].element, found[0][1].element)
            return (Mark("limit", f"{element} slows"),)
        return (Mark("limit", f"slows {plain(found[0][0])}" if len(found) == 1 else f"slows {len(found)} devices"),)

    def hub_lines(self, part: Hub) -> tuple[str, ...]:
        """A hub's side, supply and free sockets."""
        word = "USB 3 hub" if part.inner_speed.is_superspeed else "USB 2 hub"
        powered = value_of(part.facts.powered)
        supply = "" if powered is None else ", powered" if powered else ", bus-powered"
        used = {leg.socket.name for child in self.topology.children(part.id)
                if (leg := self.topology.leg(child)) is not None}
        free = sum(socket.name not in used for socket in part.sockets)
        return (word + supply, *((f"{counted(free, 'socket')} free",) if free else ()))

    def translator_loads(self, part_id: str) -> tuple[Load, ...]:
        """The load of a hub's busiest translator, where anything runs through one."""
        prefix = f"translator:{part_id}"
        loads = [link.load_peak for link in self.study.links
                 if link.kind == "translator" and (link.id == prefix or link.id.startswith(prefix + "/"))]
        busiest = max(loads, default=0.0)
        return (Load(f"translator {share_text(busiest)} full", busiest),) if busiest > 0 else ()

    def controller_loads(self, controller: str | None) -> tuple[Load, ...]:
        """The loads of a controller's USB 2 buses and of its uplink."""
        return tuple(Load(f"{_short(link)} {share_text(link.load_peak)} full", link.load_peak)
                     for link in self._of(controller) if link.load_peak > 0)

    def controller_marks(self, controller: str | None) -> tuple[Mark, ...]:
        """Where guiding and imaging hang on different sockets and still share one bus or uplink."""
        return (Mark("meet", MEET),) if any(link.id in self._apart for link in self._of(controller)) else ()

    def _of(self, controller: str | None) -> tuple[LinkOutcome, ...]:
        bus, uplink = f"usb2:{controller}", f"uplink:{controller}:"
        return tuple(link for link in self.study.links if controller is not None and (
            link.id == bus or link.id.startswith(bus + "/") or link.id.startswith(uplink)))


def _short(link: LinkOutcome) -> str:
    if link.kind == "uplink":
        return f"uplink {link.direction}"
    _, slash, bus = link.id.partition("/")
    return f"USB 2 bus {plain(bus)}" if slash else "USB 2 bus"


def _draw(part: Part) -> str:
    """What a part takes from the socket above it, in mA."""
    taken = None if isinstance(part, Computer) else value_of(part.facts.bus_ma)
    return "" if not taken else f"{taken:g} mA"
