"""The layout for a narrow picture or a deep rig: parts beneath each other, further right with each leg, as in a list.

Wires run down from the part above and bend to the right; what is written on them stands beneath the part's name.
"""

from __future__ import annotations

from topo.draw.blocks import Row, block_height, load_rows, node_rows, tag_rows
from topo.draw.captions import below as captions_below
from topo.draw.captions import header
from topo.draw.look import TEXT_SIZE
from topo.draw.metrics import shortened, wrapped
from topo.draw.placed import FREE_ROW, MARGIN, ROW_GAP, Box, Caption, Placed, Rail, Sample, Strand, Stub
from topo.draw.routes import routes, width_beside
from topo.draw.scene import Mark, Node, Scene, Wire
from topo.draw.slots import Slot, slots_of, tiers
from topo.draw.words import joined

LEAST_TEXT = 170.0
"""Pixels of text a line keeps, however deep it stands."""
INDENT = 24.0
RAIL = 7.0
"""From a part's left edge to the wires that run down from it."""


def outline(scene: Scene) -> Placed:
    """The scene as a list, as wide as was asked for."""
    return _Outline(scene).placed()


class _Outline:
    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.above = {wire.below: wire for wire in scene.wires}
        self.slots = slots_of(scene)
        self.tier = tiers(scene)
        self.width = width_beside(scene)
        room = max(0.0, self.width - 2 * MARGIN - LEAST_TEXT - INDENT)
        self.step = min(INDENT, room / max(1, *self.tier.values(), 1))
        self.boxes: list[Box] = []
        self.strands: list[Strand] = []
        self.stubs: list[Stub] = []
        self.tags: dict[tuple[str, str], tuple[Row, ...]] = {}
        self.y = 0.0

    def placed(self) -> Placed:
        """Everything with its place."""
        scene, inner = self.scene, self.width - 2 * MARGIN
        top_rows = header(scene, inner)
        self.y = MARGIN + block_height(top_rows) + 12
        nodes = {node.key: node for node in scene.nodes}
        pending: list[Slot | tuple[str, Slot]] = [Slot(child=node.key) for node in reversed(scene.roots)]
        while pending:
            entry = pending.pop()
            above, slot = entry if isinstance(entry, tuple) else ("", entry)
            if slot.free:
                self._free(nodes[above], slot)
                continue
            self._node(nodes[slot.child])
            pending += [(slot.child, each) for each in reversed(self.slots[slot.child])]
        captions, samples, y = captions_below(scene, MARGIN, self.y + 4, inner)
        top = Caption("header", MARGIN, MARGIN, inner, block_height(top_rows), top_rows)
        return routes(Placed(scene, float(scene.width_px), y + MARGIN, tuple(self.boxes), tuple(self.strands),
                             (top, *(Caption(*caption) for caption in captions)),
                             tuple(Sample(*one) for one in samples), tuple(self.stubs), rails=self._rails()), self.tags)

    def _x(self, key: str) -> float:
        return MARGIN + self.step * self.tier[key] + (INDENT - self.step if self.tier[key] else 0.0)

    def _node(self, node: Node) -> None:
        wire = self.above.get(node.key)
        x = self._x(node.key)
        width = self.width - MARGIN - x
        rows = (*node_rows(node, width - 24, True), *self._of_wire(wire, width - 24))
        high = block_height(rows) + 6
        box = Box(node, x, self.y, width, high, rows, False)
        self.boxes.append(box)
        if wire is not None and wire.kind != "inside":
            start = next(each for each in self.boxes if each.node.key == wire.above)
            at = start.x + min(RAIL, self.step / 2 or 1.0)
            self.strands.append(Strand(wire, ((at, start.y + start.height), (at, self.y + 12), (x, self.y + 12)),
                                       pulled=any(move.part == node.key for move in self.scene.moves)))
        self.y += high + ROW_GAP

    def _of_wire(self, wire: Wire | None, width: float) -> tuple[Row, ...]:
        """What a picture with columns has on the wire."""
        if wire is None or wire.kind == "inside":
            return ()
        figures = joined(f"socket {wire.socket}" if wire.socket else "", wire.speed, wire.length, wire.note)
        rows = [Row((("text", line),)) for line in wrapped(figures, width, TEXT_SIZE)]
        rows += load_rows(wire.load, width) if wire.load else []
        return (*rows, *tag_rows(wire.marks, width))

    def _free(self, above: Node, slot: Slot) -> None:
        start = next(each for each in self.boxes if each.node.key == above.key)
        x = start.x + max(INDENT, self.step)
        high = FREE_ROW
        text = f"{slot.label} {slot.text}" if slot.label else slot.text
        if slot.wanted:
            move = next(each for each in self.scene.moves if each.above == above.key and each.socket == slot.free[0])
            tag = tag_rows((Mark("do", move.words),), self.width - MARGIN - x - 60) if move.words else ()
            self.tags[above.key, slot.free[0]] = tag
            high = max(FREE_ROW, block_height(tag) + 4)
            text = ""
        self.stubs.append(Stub(above.key, slot.free, slot.kind, x - 8.0, self.y + high / 2, "",
                               shortened(text, self.width - MARGIN - x - 15.0, TEXT_SIZE), slot.wanted))
        self.y += high + ROW_GAP / 2

    def _rails(self) -> tuple[Rail, ...]:
        """Down the wires of a loud controller that take part."""
        found = []
        for box in self.boxes:
            if box.node.kind == "controller" and box.node.tone == "loud":
                ys = [each.y for each in self.strands if each.wire.above == box.node.key and each.wire.tone != "faded"]
                if len(ys) > 1:
                    found.append(Rail(box.x + min(RAIL, self.step / 2 or 1.0), box.y + box.height, max(ys)))
        return tuple(found)
