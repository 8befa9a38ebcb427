"""What hangs on a node, in the order of its sockets: parts that are plugged in, and sockets that are free."""

from __future__ import annotations

from topo.draw.scene import Node, Outlet, Scene, WireKind
from topo.frozen import frozen

MOST_FREE = 3
"""Free sockets in a row that are shown one by one; more are told together."""


@frozen
class Slot:
    """A part by its key, or free sockets by their names. `wanted` where a plug is to go there."""

    child: str = ""
    free: tuple[str, ...] = ()
    kind: WireKind = "usb2"
    wanted: bool = False

    @property
    def label(self) -> str:
        """What stands in the strip of sockets."""
        return self.free[0] if len(self.free) == 1 else ""

    @property
    def text(self) -> str:
        """What stands beside it."""
        if not self.free:
            return ""
        return "free" if len(self.free) == 1 else f"{self.free[0]} to {self.free[-1]} free"


def slots_of(scene: Scene) -> dict[str, list[Slot]]:
    """For each node what hangs on it."""
    children: dict[str, list[tuple[str, str]]] = {node.key: [] for node in scene.nodes}
    above = {wire.below: wire for wire in scene.wires}
    for node in scene.nodes:
        if (wire := above.get(node.key)) is not None:
            children[wire.above].append((node.key, wire.socket))
    wanted = {(move.above, move.socket) for move in scene.moves}
    return {node.key: _slots(node, children[node.key], wanted) for node in scene.nodes}


def tiers(scene: Scene, computer: int = 0) -> dict[str, int]:
    """How many legs each node is below the top; a computer's own tier may be said, what has nothing above is at 0."""
    above = {wire.below: wire.above for wire in scene.wires}
    found: dict[str, int] = {}
    for node in scene.nodes:
        if node.key in above:
            found[node.key] = found[above[node.key]] + 1
        else:
            found[node.key] = computer if node.kind == "computer" else 0
    return found


def _slots(node: Node, children: list[tuple[str, str]], wanted: set[tuple[str, str]]) -> list[Slot]:
    slots: list[Slot] = []
    left = list(children)
    run: list[Outlet] = []
    bare = node.kind == "device" and not children and not any((node.key, each.name) in wanted for each in node.sockets)

    def close() -> None:
        if len(run) > MOST_FREE:
            slots.append(Slot(free=tuple(each.name for each in run), kind=run[0].kind))
        else:
            slots.extend(Slot(free=(each.name,), kind=each.kind) for each in run)
        run.clear()

    for socket in () if bare else node.sockets:
        here = [child for child in left if child[1] == socket.name]
        if socket.free and not here and (node.key, socket.name) in wanted:
            close()
            slots.append(Slot(free=(socket.name,), kind=socket.kind, wanted=True))
        elif socket.free and not here:
            if run and run[0].kind != socket.kind:
                close()
            run.append(socket)
        elif here:
            close()
            slots.extend(Slot(child=child[0]) for child in here)
            left = [child for child in left if child not in here]
    close()
    return [*slots, *(Slot(child=child[0]) for child in left)]
