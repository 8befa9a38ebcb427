"""What is to be done, laid into a scene: plugs to move, and beside each part what to set, or what cable or lead to use.

What is to be done about a cable or a lead stands beside the part at its end, where there is room for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.draw.answer import short_of
from topo.draw.scene import Mark, Move, Scene
from topo.frozen import replace
from topo.model.change import AddCard, AddPart, MovePlug, Proposal, SetCable, SetLead, SetSupply, SwapPlugs
from topo.model.plain import plain
from topo.model.rig import COMPUTER, Computer
from topo.wiring.instructions import instructions

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.change import Change


class Deeds:
    """Lays the steps of a proposal into the scene of the rig they are for."""

    def __init__(self, study: Study, scene: Scene, proposal: Proposal) -> None:
        self.study, self.bare, self.proposal = study, scene, proposal
        self.keys = {node.part: node.key for node in reversed(scene.nodes) if node.kind not in ("controller", "again")}
        self.nodes: dict[str, list[Mark]] = {}
        self.moves: list[Move] = []

    def scene(self) -> Scene:
        """The scene with all of it."""
        said = iter(instructions(self.proposal))
        for step in self.proposal.steps:
            if _is_said_with_another(step, self.proposal):
                continue
            self._lay(step, plain(next(said, "")))
        nodes = tuple(replace(node, marks=(*self.nodes.get(node.key, ()), *node.marks)) for node in self.bare.nodes)
        return replace(self.bare, nodes=nodes, moves=tuple(self.moves))

    def _lay(self, step: Change, words: str) -> None:
        short = short_of(words)
        if isinstance(step, MovePlug):
            self._move(step.part, step.to_part, step.to_socket, short)
        elif isinstance(step, SwapPlugs):
            for one, other in ((step.part, step.other), (step.other, step.part)):
                if (leg := self.study.topology.leg(other)) is not None:
                    self._move(one, leg.above, leg.socket.name, short if one == step.part else "")
        elif isinstance(step, SetLead):
            ends = {lead.id: lead.ends for lead in self.study.rig.leads}.get(step.lead, ())
            again = [node.key for node in self.bare.nodes if node.part in ends and node.kind in ("again", "supply")]
            self.nodes.setdefault(again[-1] if again else "", []).append(Mark("do", short))
        elif isinstance(step, SetSupply):
            self._mark(step.supply, short)
        elif isinstance(step, AddCard):
            self._mark(COMPUTER, short)
        elif isinstance(step, AddPart):
            plug = None if isinstance(step.part, Computer) else step.part.plug
            self._mark(step.part.id if step.part.id in self.keys else COMPUTER if plug is None else plug.part, short)
        else:
            self._mark(step.part, short)

    def _mark(self, part: str, words: str) -> None:
        self.nodes.setdefault(self.keys.get(part, ""), []).append(Mark("do", words))

    def _move(self, part: str, to_part: str, to_socket: str, words: str) -> None:
        """A plug to move; the words alone where its socket is not in the picture, since it is still to be bought."""
        name = plain(to_socket)
        target = next((node.key for node in self.bare.nodes if any(each.name == name for each in node.sockets)
                       and (node.kind == "controller" if to_part == COMPUTER else node.part == plain(to_part))), None)
        key = self.keys.get(plain(part))
        wire = None if key is None else self.bare.wire_to(key)
        if key is None or target is None:
            self._mark(part, words)
            return
        kind = "usb2" if wire is None or wire.kind in ("inside", "power") else wire.kind
        self.moves.append(Move(key, target, name, kind, words))


def _is_said_with_another(step: Change, proposal: Proposal) -> bool:
    """Whether the sentence about another step says this one too, as `instructions` has it."""
    if isinstance(step, SetCable):
        return any(isinstance(other, MovePlug) and other.part == step.part for other in proposal.steps)
    return isinstance(step, SetLead) and step.key == "fuse_at_m" and any(
        isinstance(other, SetLead) and other.key == "fuse_amps" for other in proposal.steps)
