"""What stands above and below the tree: the rig's name, the legend, the findings and the cautions."""

from __future__ import annotations

from topo.draw.blocks import MARK_STYLE, Row, block_height
from topo.draw.look import NAME_SIZE, TEXT_SIZE
from topo.draw.metrics import text_width, wrapped
from topo.draw.scene import Scene

WIRE_WORDS = {
    "superspeed": "SuperSpeed", "usb2": "USB 2", "both": "USB 3 cable, both sides in use", "serial": "serial",
    "power": "12 V", "imaging": "carries imaging", "guiding": "carries guiding",
}
"""Wires and rings, and what the legend calls them."""
MOST_TOLD = 5

Block = tuple[str, float, float, float, float, tuple[Row, ...]]
SampleAt = tuple[str, float, float, float, str]


def header(scene: Scene, width: float) -> tuple[Row, ...]:
    """The rig's name and the verdict."""
    title = wrapped(scene.title, width, NAME_SIZE + 1, bold=True, most=3)
    return (*(Row((("name", line),)) for line in title), Row((("text", scene.verdict),)))


def below(scene: Scene, x: float, y: float, width: float) -> tuple[list[Block], list[SampleAt], float]:
    """Captions and legend from `y` down: blocks of text, wires of the legend, and where the last one ends."""
    samples, y = _legend(scene, x, y, width)
    blocks: list[Block] = []
    for name, rows in (("findings", _told(scene, width)), ("cautions", _cautions(scene, width))):
        if rows:
            height = block_height(rows)
            blocks.append((name, x, y, width, height, rows))
            y += height + 8
    return blocks, samples, y


def _legend(scene: Scene, x: float, y: float, width: float) -> tuple[list[SampleAt], float]:
    used: set[str] = {wire.kind for wire in scene.wires} | {role for wire in scene.wires for role in wire.carries}
    samples: list[SampleAt] = []
    here, row = x, y + 8
    for kind, text in WIRE_WORDS.items():
        if kind not in used:
            continue
        takes = 40 + text_width(text, TEXT_SIZE) + 18
        if here + takes > x + width and here > x:
            here, row = x, row + 18
        samples.append((kind, here, here + 34, row, text))
        here += takes
    return samples, row + 16 if samples else y


def _told(scene: Scene, width: float) -> tuple[Row, ...]:
    rows: list[Row] = []
    for told in scene.told[:MOST_TOLD]:
        rows += [Row((("gap", ""),))] if rows else []
        style = MARK_STYLE.get(told.severity, "quiet-tag")
        rows.append(Row(((style, told.severity), ("ink", f"{told.name}, {told.certainty}, at {told.part}"))))
        rows += [Row((("text", line),)) for line in wrapped(told.message, width - 8, TEXT_SIZE, most=3)]
    if len(scene.told) > MOST_TOLD:
        rows.append(Row((("text", f"and {len(scene.told) - MOST_TOLD} more"),)))
    return tuple(rows)


def _cautions(scene: Scene, width: float) -> tuple[Row, ...]:
    return tuple(Row((("text", line),)) for text in scene.cautions for line in wrapped(text, width - 8, TEXT_SIZE))
