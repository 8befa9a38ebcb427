"""Where everything of a scene stands: computer on the left, each further leg a column to the right, one row a leaf.

A part that others plug into is a card with a strip of sockets as tall as what hangs on it, so every wire runs straight
across and none cross. A rig too deep for its width is laid out as a list instead (`outline.py`). Positions are in
pixels from the top left. No colours and no formats here.
"""

from __future__ import annotations

import math

from topo.draw.blocks import Row, WireTexts, block_height, node_rows, socket_label, socket_width, tag_rows, wire_texts
from topo.draw.captions import below as captions_below
from topo.draw.captions import header
from topo.draw.look import NAME_SIZE, TEXT_SIZE
from topo.draw.metrics import text_width, widest_word
from topo.draw.outline import outline
from topo.draw.placed import FREE_ROW, MARGIN, ROW_GAP, Box, Caption, Placed, Rail, Sample, Strand, Stub
from topo.draw.routes import routes, width_beside
from topo.draw.scene import Mark, Node, Scene
from topo.draw.slots import Slot, slots_of, tiers
from topo.draw.words import joined
from topo.frozen import frozen

FRAME = 7.0
LEAF = 116.0
"""Room the deepest column keeps for text."""
MORE_TEXT = 110.0
"""Room that goes to the text of leaves before wires get longer than they need, where that would be many lines."""
MANY_LINES = 3.5
WIDEST_TEXT = 520.0
WIDEST_WORD = 130.0
"""A word up to this wide makes its column wider; a wider one is broken."""
LONGEST_WIRE = 196.0


@frozen
class _Columns:
    """Of each tier the width of its bars, and of the wires that come to it."""

    bars: tuple[float, ...]
    wires: tuple[float, ...]

    def x(self, tier: int) -> float:
        return MARGIN + FRAME + math.fsum((*self.bars[:tier], *self.wires[1 : tier + 1]))


def place(scene: Scene) -> Placed:
    """Places a scene, never wider than `scene.width_px`."""
    placer = _Placer(scene)
    return outline(scene) if placer.columns is None else placer.placed(placer.columns)


def _leaf_width(node: Node, least: float) -> float:
    """The least width for a leaf's text: its name on one line where that is short, and room for figures. `least` is
    that of its widest word."""
    word = least + 26
    if node.lines or node.marks:
        return max(LEAF, word)
    return max(word, min(LEAF, text_width(node.name, NAME_SIZE, bold=True) + 26))


def _stub_width(slot: Slot) -> float:
    """Room for the words beside free sockets, or for the least that says what to do with one."""
    return max(LEAF if slot.wanted else 0.0, text_width(slot.text, TEXT_SIZE))


def _word_width(node: Node) -> float:
    """The width of the widest word in a node, so that none is broken; very long ones are."""
    texts = (*node.lines, *(load.text for load in node.loads), *(mark.text for mark in node.marks))
    widest = max((widest_word(text, TEXT_SIZE, bold=True) for text in texts), default=0.0)
    return min(WIDEST_WORD, max(widest, widest_word(node.name, NAME_SIZE, bold=True)))


class _Placer:
    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.above = {wire.below: wire for wire in scene.wires}
        self.slots = slots_of(scene)
        self.tier = tiers(scene, computer=-1)
        self.least = {node.key: _word_width(node) for node in scene.nodes}
        # Routes of plugs to move run along the right edge.
        self.width = width_beside(scene)
        self.columns = self._columns()

    def _is_bar(self, node: Node) -> bool:
        return bool(self.slots[node.key]) or node.kind in ("controller", "supply")

    def _columns(self) -> _Columns | None:
        """Columns that fit the width, as roomy as it allows, names on wires unbroken if they can be; None where they
        cannot."""
        for whole in (True, False):
            least = self._least_wires(whole)
            for squeeze in (step / 8 for step in range(9)):
                columns = self._squeezed(squeeze, least)
                needed = self._needed(columns)
                if needed <= self.width:
                    more = max(0.0, self.width - needed - self._more_text()) / len(columns.bars) * 0.6
                    wires = (max(wire, min(LONGEST_WIRE, wire + more)) for wire in columns.wires)
                    return _Columns(columns.bars, tuple(wires))
        return None

    def _more_text(self) -> float:
        longest = max((text_width(joined(*node.lines), TEXT_SIZE) for node in self.scene.nodes
                       if not self._is_bar(node)), default=0.0)
        return MORE_TEXT if longest > MANY_LINES * LEAF else 0.0

    def _least_wires(self, whole: bool) -> list[float]:
        """Of each tier what the tags on its wires need; with `whole` no name in them is broken."""
        least = [0.0] * (max(0, *self.tier.values()) + 1)
        for wire in self.scene.wires:
            tier = max(0, self.tier[wire.below])
            texts = [piece for mark in wire.marks for piece in (mark.text.split(" ") if whole else [mark.text])]
            words = [text_width(text, TEXT_SIZE, bold=True) if whole else widest_word(text, TEXT_SIZE, bold=True)
                     for text in texts]
            least[tier] = max(least[tier], min(WIDEST_WORD, max(words, default=0.0)) + 44.0)
        return least

    def _squeezed(self, squeeze: float, least: list[float]) -> _Columns:
        text, wire = 124.0 - 44.0 * squeeze, 144.0 - 50.0 * squeeze
        bars = [0.0] * len(least)
        for node in self.scene.nodes:
            if (tier := self.tier[node.key]) >= 0 and self._is_bar(node):
                bars[tier] = max(bars[tier], max(text, self.least[node.key] + 18) + self.strip(node))
        return _Columns(tuple(bars), tuple(max(wire, each) for each in least))

    def strip(self, node: Node) -> float:
        """The width of a bar's strip of sockets."""
        return max(16.0, socket_width(self._names(node)))

    def _names(self, node: Node) -> list[str]:
        return [slot.label or (self.above[slot.child].socket if slot.child else "") for slot in self.slots[node.key]]

    def _needed(self, columns: _Columns) -> float:
        deepest = len(columns.bars) - 1
        leaves = (columns.x(max(0, self.tier[node.key])) + _leaf_width(node, self.least[node.key]) + MARGIN
                  for node in self.scene.nodes if not self._is_bar(node))
        stubs = (columns.x(tier) + columns.bars[tier] + 23.0 + _stub_width(slot) + MARGIN for node in self.scene.nodes
                 for tier in (max(0, self.tier[node.key]),) for slot in self.slots[node.key] if slot.free)
        return max(*leaves, *stubs, columns.x(deepest) + columns.bars[deepest] + MARGIN, 0.0)

    # -- heights, from the leaves up --------------------------------------------------------------------------------

    def _rows(self, node: Node, columns: _Columns) -> tuple[Row, ...]:
        if node.kind == "computer":
            return node_rows(node, columns.bars[0] + 2 * FRAME - 14 if columns.bars[0] else 160.0, False)
        if self._is_bar(node):
            return node_rows(node, columns.bars[self.tier[node.key]] - self.strip(node) - 18, False)
        return node_rows(node, min(WIDEST_TEXT, self.width - MARGIN - columns.x(self.tier[node.key]) - 24), True)

    def placed(self, columns: _Columns) -> Placed:
        """Everything with its place."""
        rows = {node.key: self._rows(node, columns) for node in self.scene.nodes}
        texts = {wire.below: wire_texts(wire, columns.wires[max(0, self.tier[wire.below])] - 14)
                 for wire in self.scene.wires}
        tags = {(move.above, move.socket): tag_rows((mark_of(move.words),), self._tag_room(move.above, columns))
                for move in self.scene.moves if move.words}
        high = self._heights(rows, texts, tags)
        top_rows = header(self.scene, self.width - 2 * MARGIN)
        drawing = _Drawing(self, columns, rows, texts, tags, high)
        y = drawing.all(MARGIN + block_height(top_rows) + 10)
        captions, samples, y = captions_below(self.scene, MARGIN, y + 2, self.width - 2 * MARGIN)
        top = Caption("header", MARGIN, MARGIN, self.width - 2 * MARGIN, block_height(top_rows), top_rows)
        placed = Placed(
            self.scene, float(self.scene.width_px), y + MARGIN, tuple(drawing.boxes), tuple(drawing.strands),
            (top, *(Caption(*caption) for caption in captions)), tuple(Sample(*one) for one in samples),
            tuple(drawing.stubs), rails=tuple(drawing.rails))
        return routes(placed, tags)

    def _tag_room(self, above: str, columns: _Columns) -> float:
        """Width for the words at a socket that a plug is to go into: all that is right of it."""
        tier = max(0, self.tier[above])
        return min(360.0, self.width - MARGIN - columns.x(tier) - columns.bars[tier] - 44.0)

    def _heights(self, rows: dict[str, tuple[Row, ...]], texts: dict[str, WireTexts],
                 tags: dict[tuple[str, str], tuple[Row, ...]]) -> dict[str, float]:
        high: dict[str, float] = {}
        for node in reversed(self.scene.nodes):
            own = block_height(rows[node.key]) + 12  # with room above and below, and a border on each side
            below = [self.slot_height(node.key, slot, high, tags) for slot in self.slots[node.key]]
            stacked = math.fsum(below) + ROW_GAP * max(0, len(below) - 1)
            half = texts[node.key].half if node.key in texts else 0.0
            high[node.key] = (own + stacked + 2 * FRAME if node.kind == "computer"
                              else max(own, stacked, 2 * half, 24.0))
        return high

    def slot_height(self, key: str, slot: Slot, high: dict[str, float],
                    tags: dict[tuple[str, str], tuple[Row, ...]]) -> float:
        """Height of what hangs in a socket."""
        if slot.child:
            return high[slot.child]
        return max(FREE_ROW, block_height(tags.get((key, slot.free[0]), ())) + 4) if slot.wanted else FREE_ROW


def mark_of(words: str) -> Mark:
    """What to do, as a mark."""
    return Mark("do", words)


class _Drawing:
    """Boxes, wires and free sockets, from the top down."""

    def __init__(self, placer: _Placer, columns: _Columns, rows: dict[str, tuple[Row, ...]],
                 texts: dict[str, WireTexts], tags: dict[tuple[str, str], tuple[Row, ...]],
                 high: dict[str, float]) -> None:
        self.placer, self.columns, self.rows, self.texts, self.tags, self.high = (
            placer, columns, rows, texts, tags, high)
        self.boxes: list[Box] = []
        self.strands: list[Strand] = []
        self.stubs: list[Stub] = []
        self.rails: list[Rail] = []
        self.tops: dict[str, float] = {}

    def all(self, y: float) -> float:
        """Places everything from `y` down and says where it ends."""
        for node in self.placer.scene.nodes:
            if node.key not in self.placer.above:
                self.tops[node.key] = y
                y += self.high[node.key] + ROW_GAP * 2
            box = self._box(node)
            self.boxes.append(box)
            self._slots(node, box)
            self._strand(node, box)
        self._rail()
        return y

    def _slots(self, node: Node, box: Box) -> None:
        rows = block_height(self.rows[node.key])
        y = box.y + (rows + 10 + FRAME if node.kind == "computer" else 0.0)
        for slot in self.placer.slots[node.key]:
            high = self.placer.slot_height(node.key, slot, self.high, self.tags)
            if slot.child:
                self.tops[slot.child] = y
            else:
                label = socket_label(slot.label, box.sockets)
                self.stubs.append(Stub(node.key, slot.free, slot.kind, box.right, y + high / 2, label,
                                       "" if slot.wanted else slot.text, slot.wanted))
            y += high + ROW_GAP

    def _strand(self, node: Node, box: Box) -> None:
        wire = self.placer.above.get(node.key)
        if wire is None or wire.kind == "inside":
            return
        at, tier = self.texts[node.key], self.placer.tier[wire.above]
        y = box.y + (box.height / 2 if not box.bar else max(at.half, 14.0))
        node_above = next(each for each in self.placer.scene.nodes if each.key == wire.above)
        start = self.columns.x(tier) + self.columns.bars[tier]
        label = socket_label(wire.socket, self.placer.strip(node_above))
        self.strands.append(Strand(wire, ((start, y), (box.x, y)), at.above, at.tags, at.below, at.half, label,
                                   pulled=any(move.part == node.key for move in self.placer.scene.moves)))

    def _rail(self) -> None:
        """Along the sockets of a loud controller, from the first to the last wire that takes part."""
        for box in self.boxes:
            if box.node.kind == "controller" and box.node.tone == "loud":
                ys = [strand.y for strand in self.strands
                      if strand.wire.above == box.node.key and strand.wire.tone != "faded"]
                if len(ys) > 1:
                    self.rails.append(Rail(box.right + 5.0, min(ys), max(ys)))

    def _box(self, node: Node) -> Box:
        columns, y, high, rows = self.columns, self.tops[node.key], self.high[node.key], self.rows[node.key]
        card = block_height(rows) + 12
        if node.kind == "computer":
            width = (columns.bars[0] or 160.0) + 2 * FRAME
            return Box(node, MARGIN, y, width, high, rows, True, card=high)
        tier = self.placer.tier[node.key]
        x = columns.x(tier)
        if self.placer._is_bar(node):
            return Box(node, x, y, columns.bars[tier], high, rows, True, self.placer.strip(node), min(high, card))
        room = self.placer.width - MARGIN - x
        return Box(node, x, y, min(WIDEST_TEXT + 24, room), high, rows, False)
