"""What stands above and below the tree: the rig's name and the answer; the legend, the findings and the cautions."""

from __future__ import annotations

from topo.draw.blocks import MARK_STYLE, Row, RunStyle, block_height, run_width
from topo.draw.look import FIGURE_SIZE, NAME_SIZE, TEXT_SIZE
from topo.draw.metrics import text_width, wrapped
from topo.draw.scene import Headline, Scene
from topo.words.glossary import SERVES
from topo.words.lists import counted

WIRE_WORDS = {
    "superspeed": "SuperSpeed", "usb2": "USB 2", "both": "USB 3 cable, both sides in use", "serial": "serial",
    "power": "12 V", "imaging": f"{SERVES} imaging", "guiding": f"{SERVES} guiding", "free": "free socket",
    "loud": "finding 1", "pulled": "plug to pull out", "planned": "and where it goes",
}
"""Wires, rings, sockets and what is drawn over them, and what the legend calls them."""
MOST_TOLD = 5

Block = tuple[str, float, float, float, float, tuple[Row, ...]]
SampleAt = tuple[str, float, float, float, str]


def header(scene: Scene, width: float) -> tuple[Row, ...]:
    """The rig's name and the verdict; then what is wrong, largest, whom it is about, and what to do first."""
    title = wrapped(scene.title, width, NAME_SIZE, bold=True, most=3)
    rows = [Row((("name", line),)) for line in title]
    rows += [Row((("text", line),)) for line in wrapped(scene.verdict, width, TEXT_SIZE)]
    return tuple(rows) if scene.answer is None else (*rows, *_answer(scene.answer, width))


def _answer(answer: Headline, width: float) -> list[Row]:
    style = MARK_STYLE.get(answer.severity, "outlined")
    tag: tuple[RunStyle, str] = (style, answer.severity)
    taken = run_width(*tag) + 8
    beside = text_width(answer.figure, FIGURE_SIZE, bold=True) <= width - taken
    figure = wrapped(answer.figure, width - (taken if beside else 0), FIGURE_SIZE, bold=True, most=4)
    rows = [Row((("gap", ""),))]
    rows += [Row((tag, ("figure", figure[0])))] if beside and figure else [
        Row((tag,)), *(Row((("figure", line),)) for line in figure)]
    rows += [Row((("name", line),)) for line in wrapped(answer.says, width, NAME_SIZE, bold=True)]
    if answer.steps:
        rows.append(Row((("gap", ""),)))
        said = "Do first: " + " ".join(answer.steps)
        rows += [Row((("name", line),)) for line in wrapped(said, width, NAME_SIZE, bold=True)]
        rows += [Row((("text", line),)) for line in wrapped(answer.mind, width, TEXT_SIZE)]
    return [*rows, Row((("gap", ""),))]


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
    used |= {"free" for node in scene.nodes for socket in node.sockets if socket.free}
    used |= {"loud" for wire in scene.wires if wire.tone == "loud"}
    used |= {"loud" for node in scene.nodes if node.tone == "loud" and node.kind == "controller"}
    used |= {kind for _ in scene.moves for kind in ("pulled", "planned")}
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
    """Faults and risks, each with its number; notes as a count, so that they never stand among them."""
    rows: list[Row] = []
    bad = [(number, told) for number, told in enumerate(scene.told, 1) if told.severity != "note"]
    for number, told in bad[:MOST_TOLD]:
        rows += [Row((("gap", ""),))] if rows else []
        style = MARK_STYLE.get(told.severity, "outlined")
        tag = f"{told.severity} {number}"
        first, *more = wrapped(f"{told.name}, {told.certainty}, at {told.part}", width - run_width(style, tag) - 14,
                               TEXT_SIZE) or ("",)
        rows.append(Row(((style, tag), ("ink", first))))
        rows += [Row((("ink", line),)) for line in more]
        rows += [Row((("text", line),)) for line in wrapped(told.message, width - 8, TEXT_SIZE, most=4)]
    left = [*(f"{len(bad) - MOST_TOLD} more" for _ in range(len(bad) > MOST_TOLD)),
            *(counted(len(scene.told) - len(bad), "note") for _ in range(len(scene.told) > len(bad)))]
    if left:
        rows += [Row((("gap", ""),))] if rows else []
        words = ("And " if bad else "") + " and ".join(left) + ": topo check tells them."
        rows += [Row((("text", line),)) for line in wrapped(words, width - 8, TEXT_SIZE)]
    return tuple(rows)


def _cautions(scene: Scene, width: float) -> tuple[Row, ...]:
    return tuple(Row((("text", line),)) for text in scene.cautions for line in wrapped(text, width - 8, TEXT_SIZE))
