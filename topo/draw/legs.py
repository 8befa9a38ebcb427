"""What is written on each wire and each place where wires meet: speeds, loads, where guiding meets imaging, limits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Literal

from topo.draw.answer import ON_LINKS, whom
from topo.draw.guilt import Guilt
from topo.draw.scene import Load, Mark, Outlet, Tone, Wire, WireKind
from topo.draw.words import length_text, room_text, share_text
from topo.model.facts import value_of
from topo.model.outcome import Limit, LinkOutcome
from topo.model.plain import plain
from topo.model.rig import COMPUTER, Computer, Device, Hub, Part
from topo.model.speed import Speed
from topo.wiring.crossings import crossings

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import Finding
    from topo.wiring.topology import Leg

SERIAL_LINE = "serial line"
BESIDE = "both, on separate wires: no clash"
WORTH_TELLING = 0.25
"""A serial line or translator that is in use for less of its time than this says nothing (our own)."""


class Legs:
    """Looks up what a study says of legs, hubs and controllers."""

    def __init__(self, study: Study, guilt: Guilt, findings: Sequence[Finding] = ()) -> None:
        self.study, self.guilt = study, guilt
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
        bad = {(each.part, other) for each in findings if each.name in ON_LINKS and each.severity != "note"
               for other in each.others}
        self._pairs = tuple((pair.guide, pair.other) for pair in study.shared if roles.get(pair.other) == "imaging")
        self._harmful = tuple(pair for pair in self._pairs if pair in bad or pair[::-1] in bad)
        self._fast_wanted = frozenset(each.part for each in findings
                                      if each.name == "slower-than-it-could-be" and each.severity != "note")

    # -- wires ------------------------------------------------------------------------------------------------------

    def wire(self, part_id: str, key: str, above: str, below: str) -> Wire:
        """The wire a part hangs on, with its figures and marks."""
        leg = self.topology.leg(part_id)
        assert leg is not None
        behind = (part_id, *self.topology.below(part_id))
        kind = self._kind(leg, behind)
        side = self.guilt.wires.get(part_id)
        return Wire(
            key, kind, above, below, socket=plain(leg.socket.name), speed=self._speed(leg, behind, kind),
            length=self._length(part_id), load=self._load(part_id), power=_draw(self.topology.part(part_id)),
            carries=self._roles(behind),
            marks=(*self._sharing(part_id, behind), *self._limit_marks("wire", part_id)),
            tone="loud" if side is not None else self._tone(part_id), side=side if side and kind == "both" else "",
        )

    def _tone(self, part_id: str) -> Tone:
        return "faded" if self.guilt.fades(part_id) else ""

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
        """How much room the leg has left, where it says something: a serial line that is mostly idle says nothing."""
        here = self._on.get(part_id, ())
        line = next((link for link in here if link.kind == "serial-line"), None)
        if line is not None:
            loud = line.id == self.guilt.link
            said = f"{SERIAL_LINE} in use {share_text(line.load_peak)}"
            return Load(said, min(1.0, line.load_peak), loud) if loud or line.load_peak >= WORTH_TELLING else None
        fast = [link for link in here if link.kind == "superspeed"]
        if not fast or (not self.topology.children(part_id) and all(link.id != self.guilt.link for link in fast)):
            return None  # room on a cable with one device at its end is of no use to anybody
        return self._room(max(fast, key=lambda link: link.load_peak))

    def _room(self, link: LinkOutcome, before: str = "") -> Load:
        loud = link.id == self.guilt.link
        return Load(before + room_text(link, loud), link.load_peak, loud)

    def _roles(self, behind: Iterable[str]) -> tuple[str, ...]:
        found = {self.topology.part(name).role for name in behind}
        return tuple(role for role in ("imaging", "guiding") if role in found)

    def _sharing(self, part_id: str, behind: tuple[str, ...]) -> tuple[Mark, ...]:
        """Who meets whom on this leg, told once: on the leg nearest the computer that both run over."""
        if self.guilt.named == part_id and self.guilt.finding is not None:
            return (Mark("meet", whom(self.guilt.finding)),)
        leg = self.topology.leg(part_id)
        if len(self._roles(behind)) < 2 or leg is None or leg.above != COMPUTER:
            return ()
        inside = set(behind)
        if part_id in self.guilt.wires:
            return ()
        met = next(((guide, other) for guide, other in (*self._harmful, *self._pairs)
                    if guide in inside and other in inside), None)
        if met is None:
            return (Mark("beside", BESIDE),)
        words = f"{plain(met[0])} meets {plain(met[1])}"
        return (Mark("meet", words),) if met in self._harmful else (Mark("beside", f"{words}, a note only"),)

    # -- nodes ------------------------------------------------------------------------------------------------------

    def node_marks(self, part_id: str) -> tuple[Mark, ...]:
        """What a hub keeps others from."""
        return self._limit_marks("node", part_id)

    def _limit_marks(self, place: Literal["node", "wire"], part_id: str) -> tuple[Mark, ...]:
        found = self._limits.get((place, part_id), ())
        if not found:
            return ()
        kind: Literal["risk", "limit"] = "risk" if any(name in self._fast_wanted for name, _ in found) else "limit"
        if place == "wire":
            element = {"port": "socket"}.get(found[0][1].element, found[0][1].element)
            return (Mark(kind, f"{element} slows"),)
        return (Mark(kind, f"slows {plain(found[0][0])}" if len(found) == 1 else f"slows {len(found)} devices"),)

    def hub_lines(self, part: Hub) -> tuple[str, ...]:
        """A hub's side and supply."""
        word = "USB 3 hub" if part.inner_speed.is_superspeed else "USB 2 hub"
        powered = value_of(part.facts.powered)
        return (word + ("" if powered is None else ", powered" if powered else ", bus-powered"),)

    def sockets(self, part: Part) -> tuple[Outlet, ...]:
        """All sockets of a part, in its own order."""
        used = {leg.socket.name for child in self.topology.children(part.id)
                if (leg := self.topology.leg(child)) is not None}
        return tuple(Outlet(plain(each.name), "serial" if each.kind == "serial" else
                            "superspeed" if each.speed.is_superspeed else "usb2", each.name not in used)
                     for each in part.sockets)

    def translator_loads(self, part_id: str) -> tuple[Load, ...]:
        """The load of a hub's busiest translator, where it is worth telling."""
        prefix = f"translator:{part_id}"
        links = [link for link in self.study.links
                 if link.kind == "translator" and (link.id == prefix or link.id.startswith(prefix + "/"))]
        busiest = max(links, key=lambda link: link.load_peak, default=None)
        if busiest is None or (busiest.load_peak < WORTH_TELLING and busiest.id != self.guilt.link):
            return ()
        loud = busiest.id == self.guilt.link
        return (Load(f"translator in use {share_text(busiest.load_peak)}", busiest.load_peak, loud),)

    def controller_loads(self, controller: str | None) -> tuple[Load, ...]:
        """What room a controller's USB 2 buses and its uplink have left."""
        return tuple(self._room(link, f"{_short(link)}: ") for link in self._of(controller) if link.load_peak > 0)

    def controller_marks(self, controller: str | None) -> tuple[Mark, ...]:
        """Who meets whom inside the computer: on different sockets that still share one bus or uplink."""
        if controller is None:
            return ()
        if self.guilt.named == controller and self.guilt.finding is not None and self.guilt.controllers:
            return (Mark("meet", whom(self.guilt.finding)),)
        here = {link.id for link in self._of(controller)}
        apart = [f"{plain(pair.guide)} meets {plain(pair.other)}" for pair in self.study.shared
                 if (pair.guide, pair.other) in self._harmful and here & set(pair.links)
                 and self.topology.common_ancestor((pair.guide, pair.other)) == COMPUTER]
        return (Mark("meet", apart[0]),) if apart else ()

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
