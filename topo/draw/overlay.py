"""What a comparison found, laid over a scene: what is missing, unexpected, moved or slower. Decides nothing itself."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from topo.draw.scene import Mark, Node, Scene, Wire
from topo.frozen import frozen, replace
from topo.model.plain import plain


@frozen
class Seen:
    """One difference between the rig as declared and as seen.

    `part` is the part's id, or for `unexpected` what to call the stranger; `text` says it in words. `above` and
    `socket` say where a stranger hangs (a part's id, empty where that is not known).
    """

    kind: Literal["missing", "unexpected", "moved", "slower"]
    part: str
    text: str
    above: str = ""
    socket: str = ""


def overlaid(scene: Scene, differences: Iterable[Seen]) -> Scene:
    """The scene with a mark for each difference, and a node for each stranger, after the parts it hangs beside."""
    nodes, wires = list(scene.nodes), list(scene.wires)
    keys = {node.part: node.key for node in nodes if node.kind not in ("again", "controller")}
    for number, seen in enumerate(differences):
        mark = Mark(seen.kind, f"{seen.kind}: {plain(seen.text)}" if seen.text else seen.kind)
        if seen.kind == "unexpected" and seen.part not in keys:
            _add_stranger(nodes, wires, keys, seen, mark, number)
            continue
        nodes = [_marked(node, mark) if node.key == keys.get(seen.part) else node for node in nodes]
        if seen.kind == "slower":
            wires = [replace(wire, marks=(*wire.marks, Mark("slower", "slower than it could be")))
                     if wire.below == keys.get(seen.part) else wire for wire in wires]
    return replace(scene, nodes=tuple(nodes), wires=tuple(wires))


def _marked(node: Node, mark: Mark) -> Node:
    """The node with the mark. Of what is missing nothing else is told: nothing of it runs."""
    return replace(node, marks=(*node.marks, mark), lines=() if mark.kind == "missing" else node.lines)


def _add_stranger(nodes: list[Node], wires: list[Wire], keys: dict[str, str], seen: Seen, mark: Mark,
                  number: int) -> None:
    node = Node(f"n{len(nodes) + 10_000 + number}", "device", plain(seen.part), plain(seen.part), "other",
                marks=(mark,))
    above = keys.get(seen.above)
    if above is None or next(one for one in nodes if one.key == above).kind == "computer":
        nodes.append(node)
        return
    below = {above}
    at = 0
    for index, one in enumerate(nodes):  # after everything that hangs below the part above
        wire = next((wire for wire in wires if wire.below == one.key), None)
        if one.key == above or (wire is not None and wire.above in below):
            below.add(one.key)
            at = index + 1
    nodes.insert(at, node)
    wires.append(Wire(f"w{len(wires) + 10_000 + number}", "usb2", above, node.key, socket=plain(seen.socket)))
