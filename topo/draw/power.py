"""The 12 V tree of the scene: supplies, leads, and the parts they end at. No volts are computed here."""

from __future__ import annotations

from collections.abc import Mapping

from topo.draw.scene import Node, Wire
from topo.draw.words import joined
from topo.model.feeds import Lead, Supply
from topo.model.plain import plain
from topo.model.rig import Rig


def power_tree(rig: Rig, keys: Mapping[str, str], nodes: int, wires: int) -> tuple[list[Node], list[Wire]]:
    """Nodes and wires of the 12 V side, numbered on from `nodes` and `wires`.

    `keys` maps part ids to the node that shows each; a lead that ends at one of them ends at a node of kind `again`.
    Leads that run in a loop are followed once.
    """
    tree = _Tree(rig, keys, nodes, wires)
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
    def __init__(self, rig: Rig, keys: Mapping[str, str], nodes: int, wires: int) -> None:
        self.rig, self.keys = rig, keys
        self.nodes: list[Node] = []
        self.wires: list[Wire] = []
        self._first_node, self._first_wire = nodes, wires
        self._roles = {part.id: part.role for part in rig.devices}
        self._followed: set[str] = set()

    def supply(self, supply: Supply) -> None:
        figures = joined(f"{supply.volts:g} V", "" if supply.amps is None else f"{supply.amps:g} A")
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
            key = self._add("again", lead.to, ())
            self.wires.append(_wire(lead, f"w{self._first_wire + len(self.wires)}", above, key))
            pending += [(further, key) for further in self._from(lead.to)]

    def _from(self, source: str) -> list[Lead]:
        return [lead for lead in reversed(self.rig.leads) if lead.source == source]

    def _add(self, kind: str, name: str, lines: tuple[str, ...]) -> str:
        key = f"n{self._first_node + len(self.nodes)}"
        role = self._roles.get(name, "")
        self.nodes.append(Node(key, kind, plain(name), plain(name), role, lines))  # type: ignore[arg-type]
        return key


def _wire(lead: Lead, key: str, above: str, below: str) -> Wire:
    facts = lead.facts
    gauge = "" if facts.area_mm2 is None else f"{facts.area_mm2.value:g} mm²"
    gauge = gauge if facts.gauge_awg is None else f"{facts.gauge_awg.value} AWG"
    fuse = "" if facts.fuse_amps is None else f"fuse {facts.fuse_amps.value:g} A"
    length = "" if facts.length_m is None else f"{facts.length_m.value:g} m"
    return Wire(key, "power", above, below, speed=joined(length, gauge), note=fuse)
