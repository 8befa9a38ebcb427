"""A sheet of shapes as DOT, for the engines that make PNG and PDF of it, and for whoever wants the graph as text.

Parts and wires are nodes and edges by their safe keys; every further shape is a node of its own. Positions are in the
file, and `layout=nop2` makes any engine keep them. Shapes are drawn in the order of the file.
"""

from __future__ import annotations

import re

from topo.draw.layout import place
from topo.draw.look import FONT, LIGHT, Colours
from topo.draw.metrics import text_width
from topo.draw.paint import painted
from topo.draw.placed import Track
from topo.draw.scene import Scene
from topo.draw.shapes import Cluster, Sheet, Slab, Stroke, Words

_STYLES = {"": "solid", "4 3": "dashed", "1.5 4": "dotted", "9 4": "dashed"}
_HEAD = """digraph rig {{
graph [layout=nop2 bgcolor="{paper}" pad=0 dpi={dpi} bb="0,0,{width},{height}" splines=line fontname={font}]
node [shape=box fixedsize=true margin=0 label="" color="#00000000" fontname={font}]
edge [arrowhead=none]
"""


def dot_text(scene: Scene, colours: Colours = LIGHT, dpi: int = 72) -> str:
    """The scene as a DOT file. At 72 dots an inch a picture in dots is as wide as the scene."""
    return dot_of(painted(place(scene)), colours, dpi)


def render_dot(scene: Scene) -> bytes:
    """The DOT file as UTF-8."""
    return dot_text(scene).encode("utf-8")


def dot_of(sheet: Sheet, colours: Colours = LIGHT, dpi: int = 72) -> str:
    """Any sheet as a DOT file."""
    writer = _Writer(sheet, colours)
    head = _HEAD.format(paper=colours.paper, dpi=dpi, width=_n(sheet.width), height=_n(sheet.height), font=FONT)
    writer.corners()
    # Parts come first: an edge needs its ends, and whatever is drawn on a part stands above it.
    groups = [shape for shape in sheet.shapes if isinstance(shape, Cluster)]
    for group in groups:
        if group.key and group.ends is None:
            writer.slab(group.shapes[0], group.key, group.classes)  # type: ignore[arg-type]
    for shape in sheet.shapes:
        for number, each in enumerate(shape.shapes if isinstance(shape, Cluster) else (shape,)):
            if not isinstance(shape, Cluster) or number or not shape.key:
                writer.shape(each)
            elif shape.ends is not None:
                assert isinstance(each, Stroke)
                writer.stroke(each, shape.ends)
    return head + "\n".join(writer.lines) + "\n}\n"


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


class _Writer:
    def __init__(self, sheet: Sheet, colours: Colours) -> None:
        self.high, self.width, self.colours = sheet.height, sheet.width, colours
        self.lines: list[str] = []
        self.count = 0

    def _name(self) -> str:
        self.count += 1
        return f"s{self.count}"

    def _pos(self, x: float, y: float) -> str:
        return f"{_n(x)},{_n(self.high - y)}"

    def _node(self, name: str, x: float, y: float, width: float, height: float, rest: str) -> None:
        self.lines.append(f'{name} [pos="{self._pos(x + width / 2, y + height / 2)}" width={width / 72:.4f} '
                          f"height={height / 72:.4f}{rest}]")

    def corners(self) -> None:
        """Two points that keep the picture's size: engines shrink it to what is drawn."""
        for name, x, y in (("corner0", 0.0, 0.0), ("corner1", self.width, self.high)):
            self._node(name, x, y, 0, 0, " shape=point style=invis")

    def shape(self, shape: Slab | Stroke | Words) -> None:
        """Any shape that is no part and no wire."""
        if isinstance(shape, Slab):
            self.slab(shape, self._name())
        elif isinstance(shape, Stroke):
            self.stroke(shape, None)
        else:
            self.words(shape)

    def slab(self, slab: Slab, name: str, classes: str = "") -> None:
        """A rectangle as a node."""
        styles = [*(["filled"] if slab.fill else []), *(["dashed"] if slab.dashed and slab.edge else [])]
        rest = f' style="{",".join(styles)}"' if styles else ""
        rest += f' fillcolor="{getattr(self.colours, slab.fill)}"' if slab.fill else ""
        rest += f' color="{getattr(self.colours, slab.edge)}"' if slab.edge else ""
        rest += f" penwidth={_n(slab.edge_px)}" if slab.edge and slab.edge_px != 1.0 else ""
        rest += f' class="{classes.partition(" ")[0]}"' if classes else ""
        self._node(name, slab.x, slab.y, slab.width, slab.height, rest)

    def stroke(self, stroke: Stroke, ends: tuple[str, str] | None) -> None:
        """A line as an edge; one that joins no parts runs from a point of its own to itself."""
        if ends is None:
            own = self._name()
            self._node(own, *stroke.points[0], 0.0, 0.0, " shape=point style=invis")
            ends = (own, own)
        style = _STYLES[stroke.dash]
        self.lines.append(f'{ends[0]} -> {ends[1]} [pos="{self._spline(stroke.points)}" '
                          f'color="{getattr(self.colours, stroke.ink or "ink")}" penwidth={_n(stroke.width)}'
                          + (f" style={style}" if style != "solid" else "") + "]")

    def _spline(self, points: Track) -> str:
        """Track as the straight pieces of a curve: each with two points between, on the line."""
        first, *rest = points
        written = [self._pos(*first)]
        x, y = first
        for then in rest:
            written += [self._pos(x + (then[0] - x) * part, y + (then[1] - y) * part) for part in (1 / 3, 2 / 3, 1.0)]
            x, y = then
        return " ".join(written)

    def words(self, words: Words) -> None:
        """A line of text as a node that is as wide as the text may get; its words stand at the side they hang on."""
        width = text_width(words.text, words.size, words.bold) + 2 * words.size
        x = words.x - {"start": 0.0, "middle": width / 2, "end": width}[words.anchor]
        width = max(words.size, min(width, self.width - x)) if words.anchor == "start" else width  # its room is empty
        ending = {"start": "\\l", "middle": "", "end": "\\r"}[words.anchor]
        bold = " fontname=\"Helvetica-Bold\"" if words.bold else ""
        self._node(self._name(), x, words.y - words.size * 1.1, width, words.size * 1.5,
                   f' label="{escaped(words.text)}{ending}" fontsize={_n(words.size)}{bold} '
                   f'fontcolor="{getattr(self.colours, words.ink or "ink")}"')


ENTITIES = {" ": "&#160;", "\\": "&#92;&#92;"}


def escaped(text: str) -> str:
    """A text for a label: all but letters, digits and a few signs as numbered entities.

    Nothing in it can end the label, open a tag or start an escape: engines put names in place of `\\N` and the like
    even after entities are read, and make one backslash of two. A bare `]` alone stops some of them.
    """
    return re.sub(r"[^\w .,/%()+-]| (?= )", lambda match: ENTITIES.get(match[0]) or f"&#{ord(match[0])};", text)
