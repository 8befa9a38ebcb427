"""Where everything of a scene stands: computer on the left, each further leg a column to the right, one row a leaf.

A part that others plug into is a bar as tall as what hangs on it, so every wire runs straight across and none cross.
Positions are in pixels from the top left. No colours and no formats here.
"""

from __future__ import annotations

import math

from topo.draw.blocks import Row, block_height, node_rows, socket_width, wire_texts
from topo.draw.captions import below as captions_below
from topo.draw.captions import header
from topo.draw.look import NAME_SIZE, TEXT_SIZE
from topo.draw.metrics import text_width, widest_word
from topo.draw.scene import Node, Scene, Wire
from topo.frozen import frozen

MARGIN = 14.0
GAP = 7.0
FRAME = 7.0
LEAF = 116.0
"""Room the deepest column keeps for text."""
WIDEST_TEXT = 520.0
WIDEST_WORD = 130.0
"""A word up to this wide makes its column wider; a wider one is broken."""


@frozen
class Box:
    """A node's place. `sockets` is the width of the strip for socket names at the right edge of a bar."""

    node: Node
    x: float
    y: float
    width: float
    height: float
    rows: tuple[Row, ...]
    bar: bool
    sockets: float = 0.0


@frozen
class Strand:
    """A wire's place: straight from x1 to x2 at y, with lines of text above, tags on it, lines of text below."""

    wire: Wire
    x1: float
    x2: float
    y: float
    above: tuple[str, ...]
    tags: tuple[Row, ...]
    below: tuple[str, ...]
    half: float


@frozen
class Sample:
    """A wire of the legend."""

    kind: str
    x1: float
    x2: float
    y: float
    text: str


@frozen
class Caption:
    """A block of text that belongs to no node."""

    name: str
    x: float
    y: float
    width: float
    height: float
    rows: tuple[Row, ...]


@frozen
class Placed:
    """A scene with places. `frame` is the outline around the computer's controllers (x, y, width, height)."""

    scene: Scene
    width: float
    height: float
    boxes: tuple[Box, ...]
    strands: tuple[Strand, ...]
    captions: tuple[Caption, ...]
    samples: tuple[Sample, ...]


@frozen
class _Columns:
    texts: tuple[float, ...]
    wire: float
    bars: tuple[float, ...]
    sockets: tuple[float, ...]

    def x(self, tier: int) -> float:
        return MARGIN + FRAME + math.fsum(bar + self.wire for bar in self.bars[:tier])


def place(scene: Scene) -> Placed:
    """Places a scene. The result is wider than `scene.width_px` where the rig is too deep for it."""
    return _Placer(scene).placed()


def _leaf_width(node: Node) -> float:
    """The least width for a leaf's text: its name on one line where that is short, and room for figures."""
    word = _word_width(node) + 26
    if node.lines or node.marks:
        return max(LEAF, word)
    return max(word, min(LEAF, text_width(node.name, NAME_SIZE, bold=True) + 26))


def _word_width(node: Node) -> float:
    """The width of the widest word in a node, so that none is broken; very long ones are."""
    texts = (*node.lines, *(load.text for load in node.loads), *(mark.text for mark in node.marks))
    widest = max((widest_word(text, TEXT_SIZE, bold=True) for text in texts), default=0.0)
    return min(WIDEST_WORD, max(widest, widest_word(node.name, NAME_SIZE, bold=True)))


class _Placer:
    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.above = {wire.below: wire for wire in scene.wires}
        self.children: dict[str, list[str]] = {node.key: [] for node in scene.nodes}
        self.tier: dict[str, int] = {}
        for node in scene.nodes:
            wire = self.above.get(node.key)
            if wire is None:
                self.tier[node.key] = -1 if node.kind == "computer" else 0
            else:
                self.children[wire.above].append(node.key)
                self.tier[node.key] = self.tier[wire.above] + 1
        self.columns, self.width = self._columns()

    def _is_bar(self, node: Node) -> bool:
        return bool(self.children[node.key]) or node.kind in ("controller", "supply")

    def _columns(self) -> tuple[_Columns, float]:
        deepest = max(0, *self.tier.values())  # a computer with nothing on it has no column of its own
        columns = None
        for squeeze in (step / 8 for step in range(9)):
            text, wire = 124.0 - 44.0 * squeeze, 144.0 - 50.0 * squeeze
            sockets = [0.0] * (deepest + 1)
            bars = [0.0] * (deepest + 1)
            texts = [text] * (deepest + 1)
            for node in self.scene.nodes:
                if (tier := self.tier[node.key]) >= 0 and self._is_bar(node):
                    names = [self.above[child].socket for child in self.children[node.key]]
                    sockets[tier] = max(sockets[tier], socket_width(names))
                    texts[tier] = bars[tier] = max(texts[tier], _word_width(node) + 18)
            bars = [bar + socket if bar else 0.0 for bar, socket in zip(bars, sockets, strict=True)]
            columns = _Columns(tuple(texts), wire, tuple(bars), tuple(sockets))
            needed = max((columns.x(max(0, self.tier[node.key])) + _leaf_width(node) + MARGIN
                          for node in self.scene.nodes if not self._is_bar(node)), default=0.0)
            if needed <= self.scene.width_px:
                break
        assert columns is not None
        return columns, max(needed, columns.x(deepest) + columns.bars[deepest] + MARGIN, float(self.scene.width_px))

    # -- heights, from the leaves up --------------------------------------------------------------------------------

    def _rows(self, node: Node) -> tuple[Row, ...]:
        if node.kind == "computer":
            return node_rows(node, self.columns.bars[0] + 2 * FRAME - 14 if self.columns.bars[0] else 160.0, False)
        if self._is_bar(node):
            return node_rows(node, self.columns.texts[self.tier[node.key]] - 18, False)
        return node_rows(node, min(WIDEST_TEXT, self.width - MARGIN - self.columns.x(self.tier[node.key]) - 24), True)

    def placed(self) -> Placed:
        rows = {node.key: self._rows(node) for node in self.scene.nodes}
        texts = {wire.below: wire_texts(wire, self.columns.wire - 12) for wire in self.scene.wires}
        height: dict[str, float] = {}
        for node in reversed(self.scene.nodes):
            own = block_height(rows[node.key]) + 12  # with room above and below, and a border on each side
            below = [height[child] for child in self.children[node.key]]
            stacked = math.fsum(below) + GAP * max(0, len(below) - 1)
            half = texts[node.key].half if node.key in texts else 0.0
            height[node.key] = (own + stacked + 2 * FRAME if node.kind == "computer"
                                else max(own, stacked, 2 * half, 24.0))
        top_rows = header(self.scene, self.width - 2 * MARGIN)
        y = MARGIN + block_height(top_rows) + 10
        boxes: list[Box] = []
        strands: list[Strand] = []
        tops: dict[str, float] = {}
        for node in self.scene.nodes:
            if node.key not in self.above:
                tops[node.key] = y
                y += height[node.key] + GAP * 2
            box = self._box(node, tops[node.key], height[node.key], rows[node.key])
            boxes.append(box)
            child_y = box.y + (block_height(rows[node.key]) + 10 + FRAME if node.kind == "computer" else 0.0)
            for child in self.children[node.key]:
                tops[child] = child_y
                child_y += height[child] + GAP
            wire = self.above.get(node.key)
            if wire is not None and wire.kind != "inside":
                at = texts[node.key]
                middle = box.height / 2 if not box.bar else max(at.half, 14.0)
                above_x = self.columns.x(self.tier[wire.above]) + self.columns.bars[self.tier[wire.above]]
                strands.append(Strand(wire, above_x, box.x, box.y + middle, at.above, at.tags, at.below, at.half))
        captions, samples, y = captions_below(self.scene, MARGIN, y + 2, self.width - 2 * MARGIN)
        top = Caption("header", MARGIN, MARGIN, self.width - 2 * MARGIN, block_height(top_rows), top_rows)
        return Placed(self.scene, self.width, y + MARGIN, tuple(boxes), tuple(strands),
                      (top, *(Caption(*caption) for caption in captions)), tuple(Sample(*one) for one in samples))

    def _box(self, node: Node, y: float, height: float, rows: tuple[Row, ...]) -> Box:
        if node.kind == "computer":
            width = (self.columns.bars[0] or 160.0) + 2 * FRAME
            return Box(node, MARGIN, y, width, height, rows, True)
        tier = self.tier[node.key]
        x = self.columns.x(tier)
        if self._is_bar(node):
            return Box(node, x, y, self.columns.bars[tier], height, rows, True, self.columns.sockets[tier])
        return Box(node, x, y, min(WIDEST_TEXT + 24, self.width - MARGIN - x), height, rows, False)
