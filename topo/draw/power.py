"""The 12 V tree of the scene: supplies, leads, blocks, boxes and the parts they end at. No volts are computed here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from topo.draw.guilt import Guilt
from topo.draw.scene import Mark, Node, Tone, Wire
from topo.draw.words import joined
from topo.model.feeds import Lead, Supply
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import Finding


def power_tree(
    study: Study, findings: Sequence[Finding], keys: Mapping[str, str], nodes: int, wires: int,
    guilt: Guilt,
) -> tuple[list[Node], list[Wire]]:
    """Nodes and wires of the 12 V side, numbered on from `nodes` and `wires`. Leads carry their amps and volts, and the
    findings about them.

    `keys` maps part ids to the node that shows each; a lead that ends at one of them ends at a node of kind `again`.
    Leads that run in a loop are followed once.
    """
    rig = study.rig
    tree = _Tree(study, findings, keys, nodes, wires, guilt)
    for supply in rig.supplies:
        tree.supply(supply)
    fed = {lead.to for lead in rig.leads}
    for source in dict.fromkeys(lead.source for lead in rig.leads):
        if source not in fed:
            tree.loose(source)
    for source in dict.fromkeys(lead.source for lead in rig.leads):
        tree.loose(source)
    return tree.nodes, tree.wires


class _Tree:
    def __init__(
        self, study: Study, findings: Sequence[Finding], keys: Mapping[str, str], nodes: int, wires: int,
        guilt: Guilt,
    ) -> None:
        self.guilt = guilt
        self.rig, self.keys, self.power, self.findings = study.rig, keys, study.power, findings
        self.nodes: list[Node] = []
        self.wires: list[Wire] = []
        self._first_node, self._first_wire = nodes, wires
        self._roles = {part.id: part.role for part in study.rig.devices}
        self._followed: set[str] = set()

    def supply(self, supply: Supply) -> None:
        kind = "battery" if supply.is_battery else ""
        figures = joined(kind, f"{supply.volts:g} V", "" if supply.amps is None else f"{supply.amps:g} A")
        key = self._add("supply", supply.id, (figures,))
        self._leads(supply.id, key)

    def loose(self, source: str) -> None:
        """A source that no supply of the file feeds, where its leads are not drawn yet."""
        if any(lead.source == source and lead.id not in self._followed for lead in self.rig.leads):
            self._leads(source, self._add("again" if source in self.keys else "supply", source, ()))

    def _leads(self, source: str, above: str) -> None:
        pending = [(lead, above) for lead in self._from(source)]
        while pending:
            lead, above = pending.pop()
            if lead.id in self._followed:
                continue
            self._followed.add(lead.id)
            for end in lead.ends:
                key = self._add("again", end, self._volts(end))
                self.wires.append(self._wire(lead, above, key))
                pending += [(further, key) for further in self._from(end)]

    def _from(self, source: str) -> list[Lead]:
        return [lead for lead in reversed(self.rig.leads) if lead.source == source]

    def _add(self, kind: str, name: str, lines: tuple[str, ...]) -> str:
        key = f"n{self._first_node + len(self.nodes)}"
        role = self._roles.get(name, "")
        own = kind == "supply" or name not in self.keys  # parts have theirs where they are shown first
        marks = self._marks(each for each in self.findings if own and each.part == name and not self._on(each))
        worst = self.guilt.finding
        tone: Tone = "faded" if self.guilt.fades(name) or self.guilt.on_usb else ""
        tone = "loud" if own and worst is not None and worst.part == name and not self.guilt.leads else tone
        self.nodes.append(Node(key, kind, plain(name), plain(name), role, lines,  # type: ignore[arg-type]
                               marks=marks, tone=tone))
        return key

    def _marks(self, found: Iterable[Finding]) -> tuple[Mark, ...]:
        numbers = {id(finding): number for number, finding in enumerate(self.findings, 1)}
        return tuple(Mark(each.severity, f"{each.severity} {numbers[id(each)]}: {plain(each.name)}") for each in found)

    def _on(self, finding: Finding) -> bool:
        """Whether a finding sits on a lead."""
        return any(finding.place == lead.place for lead in self.rig.leads if lead.place.line)

    def _volts(self, name: str) -> tuple[str, ...]:
        """What reaches a plug, in normal work and at the peak."""
        plug = self.power.plug(name)
        if plug is None or plug.volts.typical is None:
            return ()
        peak = "cannot be fed at the peak" if plug.volts.peak is None else f"{plug.volts.peak.likely:.1f} at the peak"
        return (f"{plug.volts.typical.likely:.1f} V, {peak}",)

    def _wire(self, lead: Lead, above: str, below: str) -> Wire:
        facts, power = lead.facts, self.power.lead(lead.id)
        gauge = "" if facts.area_mm2 is None else f"{facts.area_mm2.value:g} mm²"
        gauge = gauge if facts.gauge_awg is None else f"{facts.gauge_awg.value} AWG"
        fuse = "" if facts.fuse_amps is None else f"fuse {facts.fuse_amps.value:g} A"
        length = "" if facts.length_m is None else f"{facts.length_m.value:g} m"
        amps = ""
        if power is not None and power.amps.peak is not None:
            amps = f"up to {power.amps.peak.likely:.1f} A"
        marks = self._marks(each for each in self.findings if each.place == lead.place and each.place.line)
        loud = lead.id in self.guilt.leads
        apart = self.guilt.leads or self.guilt.on_usb or any(self.guilt.fades(end) for end in lead.ends)
        tone: Tone = "loud" if loud else "faded" if self.guilt.finding is not None and apart else ""
        return Wire(
            f"w{self._first_wire + len(self.wires)}", "power", above, below, socket=plain(lead.socket or ""),
            speed=joined(length, gauge), note=joined(fuse, amps), marks=marks, tone=tone,
        )  # fmt: skip
