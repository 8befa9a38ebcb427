"""From a study and its findings to a scene: which node stands where in the tree, and what is written on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.draw.answer import answer_of
from topo.draw.deeds import Deeds
from topo.draw.guilt import Guilt, guilt_of
from topo.draw.legs import Legs
from topo.draw.power import power_tree
from topo.draw.scene import Mark, Node, Outlet, Scene, Told, Wire
from topo.draw.words import bytes_text, seconds_text
from topo.frozen import replace
from topo.model.cautions import SHORT
from topo.model.facts import value_of
from topo.model.finding import Finding, Severity
from topo.model.outcome import DeviceOutcome
from topo.model.plain import plain
from topo.model.rig import COMPUTER, Device, Hub, Part
from topo.words.glossary import TOGETHER
from topo.words.lists import of_100
from topo.words.verdicts import verdict_words

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import Plan
    from topo.wiring.topology import Leg


def picture(
    study: Study, findings: Sequence[Finding] = (), width_px: int = 900, first: Plan | None = None
) -> Scene:
    """The scene of a studied rig, in the order of the computer's sockets and then of the file.

    `findings` come worst first, as the report has them; the first of them is told loudest. `first` is what to do first.
    """
    guilt = guilt_of(study, findings, first)
    painter = _Painter(study, findings, guilt)
    painter.computer()
    painter.strays()
    nodes, wires = painter.nodes, painter.wires
    keys = {node.part: node.key for node in nodes if node.kind != "controller"}
    more_nodes, more_wires = power_tree(study, findings, keys, len(nodes), len(wires), guilt)
    scene = Scene(
        title=plain(study.rig.name), verdict=verdict_words(findings), nodes=(*nodes, *more_nodes),
        wires=(*wires, *more_wires), told=tuple(map(_told, findings)),
        cautions=(SHORT,) if more_nodes else (), width_px=width_px,
        answer=answer_of(findings, first, sorted(guilt.leads)),
    )
    return scene if first is None else Deeds(study, scene, first.proposal).scene()


class _Painter:
    """Walks the tree from the computer down and writes nodes and wires."""

    def __init__(self, study: Study, findings: Sequence[Finding], guilt: Guilt) -> None:
        self.study, self.topology, self.findings, self.guilt = study, study.topology, findings, guilt
        self.legs = Legs(study, guilt, findings)
        self.on_leads = {lead.place for lead in study.rig.leads if lead.place.line}
        self.nodes: list[Node] = []
        self.wires: list[Wire] = []

    def _node(self, kind: str, name: str, part: str, **rest: object) -> str:
        key = f"n{len(self.nodes)}"
        worst = self.guilt.finding
        tone = ("" if worst is None or kind == "computer" else "loud" if part in (worst.part, *self.guilt.controllers)
                else "faded" if self.guilt.fades(part) else "")
        self.nodes.append(Node(key, kind, plain(name), plain(part), tone=tone, **rest))  # type: ignore[arg-type]
        return key

    def computer(self) -> None:
        """The computer, a node for each of its controllers, and below each what is plugged into its sockets."""
        rig = self.study.rig
        top = self._node("computer", COMPUTER, COMPUTER, lines=_profile_line(rig.computer),
                         marks=self._marks(rig.computer))
        order = {socket.name: index for index, socket in enumerate(rig.computer.sockets)}
        groups: dict[str | None, list[str]] = {socket.controller: [] for socket in rig.computer.sockets}
        for leg in self._legs_at(COMPUTER, order):
            groups.setdefault(leg.socket.controller, []).append(leg.part)
        sockets = dict(zip((each.name for each in rig.computer.sockets), self.legs.sockets(rig.computer), strict=True))
        for controller, below in groups.items():
            own = tuple(sockets[each.name] for each in rig.computer.sockets if each.controller == controller)
            key = self._controller(controller, below, own)
            self.wires.append(Wire(f"w{len(self.wires)}", "inside", top, key))
            self._parts(below, key)

    def _controller(self, controller: str | None, below: list[str], sockets: tuple[Outlet, ...]) -> str:
        guilt = self.guilt
        key = self._node("controller", controller or "other sockets", f"controller:{controller}",
                         loads=self.legs.controller_loads(controller), marks=self.legs.controller_marks(controller),
                         sockets=sockets)
        node = self.nodes[-1]
        loud = controller in guilt.controllers
        used = {controller} & guilt.controllers or any(not guilt.fades(part) for part in below)
        self.nodes[-1] = replace(node, tone="loud" if loud else "" if used or guilt.finding is None else "faded")
        return key

    def _legs_at(self, part_id: str, order: dict[str, int]) -> list[Leg]:
        """The legs plugged into a part, by its sockets; those of sockets it does not list come last."""
        legs = [leg for child in self.topology.children(part_id) if (leg := self.topology.leg(child)) is not None]
        return sorted(legs, key=lambda leg: order.get(leg.socket.name, len(order)))

    def _parts(self, part_ids: list[str], above: str) -> None:
        """These parts and everything below them, depth first (without recursion: a file may chain 2,000 hubs)."""
        pending = [(part_id, above) for part_id in reversed(part_ids)]
        while pending:
            part_id, above = pending.pop()
            part = self.topology.part(part_id)
            key = self._node(part.kind, part.id, part.id, role=part.role if part.kind == "device" else "",
                             lines=self._lines(part), loads=self.legs.translator_loads(part.id),
                             marks=(*self.legs.node_marks(part.id), *self._marks(part)),
                             sockets=self.legs.sockets(part))
            self.wires.append(self.legs.wire(part_id, f"w{len(self.wires)}", above, key))
            order = {socket.name: index for index, socket in enumerate(part.sockets)}
            pending += [(leg.part, key) for leg in reversed(self._legs_at(part_id, order))]

    def strays(self) -> None:
        """Parts that do not reach the computer: they use no USB, or are plugged into nothing that is there."""
        for part in self.study.rig.parts:
            if part.id != COMPUTER and self.topology.leg(part.id) is None:
                self._node(part.kind, part.id, part.id, role=part.role if part.kind == "device" else "",
                           lines=("not on USB",), marks=self._marks(part))

    def _marks(self, part: Part) -> tuple[Mark, ...]:
        """One mark for all findings of one name and severity, with their numbers in the report."""
        found: dict[tuple[Severity, str], list[int]] = {}
        for number, finding in enumerate(self.findings, 1):
            if finding.part == part.id and finding.place not in self.on_leads:
                found.setdefault((finding.severity, plain(finding.name)), []).append(number)
        return tuple(Mark(severity, finding_words(severity, numbers, name))
                     for (severity, name), numbers in found.items())

    def _lines(self, part: Part) -> tuple[str, ...]:
        if isinstance(part, Hub):
            return self.legs.hub_lines(part)
        return _device_lines(part, self.study.device(part.id)) if isinstance(part, Device) else ()


def finding_words(severity: str, numbers: Sequence[int], name: str) -> str:
    """A finding on a part or lead: `risk 1: frame-lost`; several of one name with all their numbers."""
    return f"{severity} {', '.join(map(str, numbers))}: {name}"


def _profile_line(part: Part) -> tuple[str, ...]:
    return (plain(part.profile),) if part.profile else ()


def _device_lines(part: Device, device: DeviceOutcome) -> tuple[str, ...]:
    lines = []
    if device.speed is not None and device.could_be is not None and device.could_be > device.speed:
        lines.append(f"{device.speed.label}, could be {device.could_be.label}")
    if device.frame_bytes and device.alone_s is not None:
        alone = f"{bytes_text(device.frame_bytes)} frame: {seconds_text(device.alone_s)}"
        slower = device.together_s is not None and device.together_s.high > device.alone_s.high * 1.05
        more = f", {TOGETHER} {seconds_text(device.together_s)}" if slower and device.together_s else ""
        lines.append(alone + more)
    elif device.flow == "serial" and (baud := value_of(part.serial.baud)):
        lines.append(f"{baud} baud")
    elif device.asked_mb_per_s is not None and device.flow in ("network", "storage"):
        lines.append(f"{device.asked_mb_per_s:.3g} MB/s")
    worst = device.delay_last_s
    if worst is not None and worst.high > 0:
        chance = "" if device.chance is None else f", at {of_100(device.chance)} downloads"
        lines.append(f"guide frame up to {seconds_text(worst.high)} late{chance}")
    if device.lost != "no":
        lines.append("frames lost" if device.lost == "certain" else "frames may be lost")
    return tuple(lines)


def _told(finding: Finding) -> Told:
    return Told(finding.severity, finding.certainty, plain(finding.name), plain(finding.part),
                plain(finding.message, 600))

