"""A placed scene as DOT. Node names are safe keys; every text of a scene is an escaped HTML-like label.

Positions are in the file, and `layout=nop2` makes any engine keep them.
"""

from __future__ import annotations

import re

from topo.draw.blocks import METER, RINGS, TAGS, Row, block_height, socket_label, tag_height, tag_width
from topo.draw.layout import Box, Caption, Placed, Sample, Strand, place
from topo.draw.look import FONT, LIGHT, NAME_SIZE, TEXT_SIZE, Colours
from topo.draw.metrics import text_width
from topo.draw.scene import Scene

PLAIN_TABLE = 'BORDER="0" CELLBORDER="0" CELLSPACING="0" CELLPADDING="0"'

STROKES = {
    "superspeed": ("{0}:transparent:{0}", "solid", 2.0),
    "both": ("{0}:transparent:{0}:transparent:{0}", "solid", 2.0),
    "usb2": ("{0}", "solid", 2.0),
    "serial": ("{0}", "dashed", 2.0),
    "power": ("{0}", "dotted", 2.5),
}
"""Of each kind of wire: colours of its lines side by side, dashes, thickness."""
MEET = {
    "superspeed": ("{0}:{0}:transparent:{0}:{0}", "solid", 2.0),
    "both": ("{0}:{0}:transparent:{0}:{0}:transparent:{0}:{0}", "solid", 2.0),
}
"""The same where guiding meets imaging: twice as thick."""
RING_PLACES = {"imaging": ((4.0, 5.0),), "guiding": ((12.0, 2.5), (16.5, 2.5))}
"""Where along a wire, and how wide, the rings of what it carries stand, in pixels."""


def dot_text(scene: Scene, colours: Colours = LIGHT, dpi: int = 72, fit: bool = False) -> str:
    """The scene as a DOT file. At 72 dots an inch a picture in dots is as wide as the scene; with `fit` no wider
    than was asked for, even where its columns need more."""
    import graphviz

    placed = place(scene)
    # What is too wide at its least is shrunk as a whole. The engine rounds to whole dots, so a hair is left.
    fitted = {"size": f"{(scene.width_px - 0.5) / 72:.4f},1000"} if fit and placed.width > scene.width_px else {}
    graph = graphviz.Digraph("rig", graph_attr={
        "layout": "nop2", "rankdir": "LR", "bgcolor": colours.paper, "pad": "0", "dpi": str(dpi),
        "outputorder": "nodesfirst",
        "bb": f"0,0,{_n(placed.width)},{_n(placed.height)}", "splines": "line", "fontname": FONT,
        **fitted,
    }, node_attr={"shape": "box", "fontname": FONT, "fontsize": str(TEXT_SIZE), "fixedsize": "true", "margin": "0"},
        edge_attr={"fontname": FONT, "fontsize": str(TEXT_SIZE), "arrowhead": "none", "color": colours.line})
    writer = _Writer(graph, placed, colours)
    writer.corners()
    for box in placed.boxes:
        writer.box(box)
    for strand in placed.strands:
        writer.strand(strand)
        writer.rings(strand)
    for caption in placed.captions:
        writer.caption(caption)
    for index, sample in enumerate(placed.samples):
        writer.sample(index, sample)
    text: str = graph.source
    return text


def render_dot(scene: Scene) -> bytes:
    """The DOT file as UTF-8."""
    return dot_text(scene).encode("utf-8")


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _inches(value: float) -> str:
    return f"{value / 72:.4f}"


class _Writer:
    def __init__(self, graph: object, placed: Placed, colours: Colours) -> None:
        self.graph, self.placed, self.colours = graph, placed, colours
        self.boxes = {box.node.key: box for box in placed.boxes}

    def _pos(self, x: float, y: float) -> str:
        return f"{_n(x)},{_n(self.placed.height - y)}"

    def _rect(self, name: str, x: float, y: float, width: float, height: float, **attributes: str) -> None:
        self.graph.node(name, pos=self._pos(x + width / 2, y + height / 2), width=_inches(width),  # type: ignore[attr-defined]
                        height=_inches(height), **attributes)

    def corners(self) -> None:
        """Two points that keep the picture's size: engines shrink it to what is drawn."""
        for name, x, y in (("corner0", 0.0, 0.0), ("corner1", self.placed.width, self.placed.height)):
            self._rect(name, x, y, 0, 0, shape="point", style="invis", label="")

    def box(self, box: Box) -> None:
        """A node: a bar, or a leaf that is text with its role's rings at the left."""
        colours, node = self.colours, box.node
        dashed = any(mark.kind == "missing" for mark in node.marks)
        style = {"style": "dashed" if dashed else "invis", "color": colours.edge, "fillcolor": colours.paper}
        if node.kind == "computer":
            style = {"style": "rounded", "color": colours.edge, "penwidth": "1.5"}
        elif box.bar:
            style = {"style": "filled" + (",dashed" if dashed else ""), "color": colours.edge,
                     "fillcolor": colours.bar}
        elif not dashed:
            style = {"color": "transparent"}
        self._rect(node.key, box.x, box.y, box.width, box.height, label=self._label(box), **style,
                   **{"class": f"{node.kind} {node.role}".strip()})

    def _label(self, box: Box) -> str:
        rings, used = self._rings(box)
        inner = int(box.width - 3 - used - box.sockets)
        valign = "TOP" if box.bar else "MIDDLE"
        spacer = f'<TD FIXEDSIZE="TRUE" WIDTH="{round(box.sockets)}" HEIGHT="1"></TD>' if box.sockets else ""
        return (f'<<TABLE {PLAIN_TABLE} FIXEDSIZE="TRUE" WIDTH="{box.width - 2:.0f}" HEIGHT="{box.height - 2:.0f}">'
                f'<TR>{rings}<TD ALIGN="LEFT" VALIGN="{valign}" CELLPADDING="5" WIDTH="{inner}">'
                f"{self._block(box.rows, inner - 10, round(box.height - 12), not box.bar)}</TD>{spacer}</TR></TABLE>>")

    def _block(self, rows: tuple[Row, ...], width: int, height: int, middle: bool = False) -> str:
        """Rows from the top, or in the middle, of exactly this height: engines spread what is left over."""
        left = height - round(block_height(rows))
        upper = left // 2 if middle else 0
        return (f"<TABLE {PLAIN_TABLE}>{_gap(upper)}" + "".join(self._row(row, width) for row in rows)
                + _gap(left - upper) + "</TABLE>")

    def _rings(self, box: Box) -> tuple[str, int]:
        """One broad ring for imaging, two thin ones for guiding, a thin grey one for the rest; and their width."""
        role = box.node.role
        if box.node.kind not in ("device", "again") or not role:
            return "", 0
        colour = {"imaging": self.colours.imaging, "guiding": self.colours.guiding}.get(role, self.colours.edge)
        widths = {"imaging": ((8, colour),), "guiding": ((3, colour), (2, ""), (3, colour))}.get(role, ((3, colour),))
        cells = "".join(f'<TD FIXEDSIZE="TRUE" WIDTH="{width}" HEIGHT="{box.height - 2:.0f}"'
                        + (f' BGCOLOR="{fill}"' if fill else "") + "></TD>" for width, fill in widths)
        return cells, sum(width for width, _ in widths)

    def _row(self, row: Row, width: int) -> str:
        """A row of a block: text alone is one cell; a tag or meter stands in a table whose cells add up to `width`."""
        style, text = row.runs[0]
        if style == "gap":
            return _gap(round(row.height))
        if style in TAGS:
            takes = round(tag_width(text, style))
            rest = "".join("&#160;" + self._run(*run) for run in row.runs[1:])
            inside = self._tag(style, text) + f'<TD ALIGN="LEFT" WIDTH="{max(0, width - takes)}">{rest}</TD>'
        elif style == "meter":
            inside = self._meter(float(text)) + f'<TD WIDTH="{max(0, width - round(METER))}"></TD>'
        else:
            runs = "".join(self._run(*run) for run in row.runs)
            return f'<TR><TD ALIGN="LEFT" HEIGHT="{row.height:.0f}">{runs}</TD></TR>'
        return (f'<TR><TD HEIGHT="{row.height:.0f}"><TABLE {PLAIN_TABLE}><TR>{inside}</TR></TABLE></TD></TR>')

    def _meter(self, share: float) -> str:
        """A load as cells of a little meter: filled from the left, outlined to its full width."""
        full = round(METER * min(1.0, max(0.0, share)))
        # A cell of 1 has no room for its two borders.
        full = max(2, full) if share > 0.0 else full
        full = min(round(METER) - 2, full) if share < 1.0 else full
        cells = ((full, self.colours.line), (round(METER) - full, self.colours.paper))
        return "".join(f'<TD FIXEDSIZE="TRUE" WIDTH="{width}" HEIGHT="5" BORDER="1" COLOR="{self.colours.line}" '
                       f'BGCOLOR="{colour}"></TD>' for width, colour in cells if width)

    def _run(self, style: str, text: str) -> str:
        colours, shown = self.colours, escaped(text)
        if style == "name":
            return f'<FONT POINT-SIZE="{NAME_SIZE}" COLOR="{colours.ink}"><B>{shown}</B></FONT>'
        if style == "plain-name":
            return f'<FONT POINT-SIZE="{NAME_SIZE}" COLOR="{colours.ink}">{shown}</FONT>'
        if style == "role":
            colour = {"imaging": colours.imaging, "guiding": colours.guiding}.get(text, colours.quiet)
            return f'<FONT COLOR="{colour}">&#160;&#160;{shown}</FONT>'
        return f'<FONT COLOR="{colours.ink if style == "ink" else colours.quiet}">{shown}</FONT>'

    def _tag(self, style: str, text: str) -> str:
        """A tag as one cell with a border."""
        colours = self.colours
        ground, border, ink = {
            "filled": (colours.trouble, colours.trouble, colours.on_trouble),
            "outlined": (colours.paper, colours.trouble, colours.trouble),
            "quiet-tag": (colours.paper, colours.edge, colours.ink),
        }[style]
        bold = ("", "") if style == "quiet-tag" else ("<B>", "</B>")
        lines = "<BR/>".join(f"{bold[0]}{escaped(line)}{bold[1]}" for line in text.split("\n"))
        size = f'WIDTH="{tag_width(text, style):.0f}" HEIGHT="{tag_height(text) - 2:.0f}"'
        return (f'<TD FIXEDSIZE="TRUE" {size} BORDER="1" COLOR="{border}" BGCOLOR="{ground}">'
                f'<FONT COLOR="{ink}">{lines}</FONT></TD>')

    # -- wires ------------------------------------------------------------------------------------------------------

    def strand(self, strand: Strand) -> None:
        """A wire with its texts."""
        wire = strand.wire
        meets = any(mark.kind == "meet" for mark in wire.marks)
        lines, dashes, thickness = (MEET if meets else STROKES).get(wire.kind, STROKES[wire.kind])
        colour = self.colours.trouble if meets else self.colours.line
        above = self.boxes[wire.above]
        label = socket_label(wire.socket, above.sockets)
        middle = (strand.x1 + strand.x2 + (RINGS if wire.carries and strand.tags else 0)) / 2
        self.graph.edge(  # type: ignore[attr-defined]
            wire.above, wire.below, pos=self._spline(strand.x1, strand.x2, strand.y), color=lines.format(colour),
            style=dashes, penwidth=_n(thickness * 2 if meets and wire.kind not in MEET else thickness),
            label=self._wire_label(strand), lp=self._pos(middle, strand.y),
            taillabel=f'<<FONT COLOR="{self.colours.ink}">{escaped(label)}</FONT>>' if label else "",
            tail_lp=self._pos(strand.x1 - above.sockets / 2 - 1, strand.y), **{"class": f"{wire.kind}"})

    def _spline(self, x1: float, x2: float, y: float) -> str:
        third = (x2 - x1) / 3
        return " ".join(self._pos(x, y) for x in (x1, x1 + third, x2 - third, x2))

    def _wire_label(self, strand: Strand) -> str:
        """Lines above, tags or a gap, lines below, padded to be as high above the wire as below it."""
        colours, load = self.colours, strand.wire.load
        if not strand.above and not strand.below and not strand.tags and load is None:
            return ""
        half = round(max(len(strand.above) * 14, len(strand.below) * 14 + (7 if load else 0)))

        def rows(lines: tuple[str, ...], colour: str) -> str:
            return "".join(f'<TR><TD HEIGHT="14"><FONT COLOR="{colour}">{escaped(line)}</FONT></TD></TR>'
                           for line in lines)

        tags = (_alone(self._tag(style, text), tag_width(text, style), row.height - 2)
                for row in strand.tags for style, text in row.runs)
        middle = "".join(f"<TR><TD>{tag}</TD></TR>" for tag in tags) or _gap(8)
        meter = f'<TR><TD HEIGHT="7">{_alone(self._meter(load.share), METER, 6)}</TD></TR>' if load else ""
        return (f"<<TABLE {PLAIN_TABLE}>"
                + _gap(half - len(strand.above) * 14) + rows(strand.above, colours.ink) + middle
                + rows(strand.below, colours.quiet) + meter
                + _gap(half - len(strand.below) * 14 - (7 if load else 0)) + "</TABLE>>")

    def rings(self, strand: Strand) -> None:
        """Rings at the start of a wire for what runs over it: a broad one for imaging, two thin ones for guiding."""
        for role in strand.wire.carries:
            self._ring(strand.wire.key, role, strand.x1, strand.y)

    def _ring(self, name: str, role: str, x: float, y: float) -> None:
        colour = self.colours.imaging if role == "imaging" else self.colours.guiding
        for number, (along, width) in enumerate(RING_PLACES.get(role, ())):
            self._rect(f"{name}{role}{number}", x + along, y - 6.5, width, 13, label="", style="filled",
                       fillcolor=colour, color=colour, penwidth="0", **{"class": "ring"})

    # -- captions ---------------------------------------------------------------------------------------------------

    def caption(self, caption: Caption) -> None:
        """A block of text."""
        label = (f'<<TABLE {PLAIN_TABLE} FIXEDSIZE="TRUE" WIDTH="{caption.width - 2:.0f}" '
                 f'HEIGHT="{caption.height:.0f}"><TR><TD ALIGN="LEFT" VALIGN="TOP">'
                 f"{self._block(caption.rows, round(caption.width - 4), round(caption.height))}</TD></TR></TABLE>>")
        self._rect(caption.name, caption.x, caption.y, caption.width, caption.height, label=label, color="transparent",
                   **{"class": "caption"})

    def sample(self, index: int, sample: Sample) -> None:
        """A wire of the legend with its name to the right."""
        lines, dashes, thickness = STROKES.get(sample.kind, STROKES["usb2"])
        ends = (f"legend{index}a", f"legend{index}b")
        for name, x in zip(ends, (sample.x1, sample.x2), strict=True):
            self._rect(name, x, sample.y, 0, 0, shape="point", style="invis", label="")
        label = f'<<FONT COLOR="{self.colours.ink}">{escaped(sample.text)}</FONT>>'
        self.graph.edge(  # type: ignore[attr-defined]
            *ends, pos=self._spline(sample.x1, sample.x2, sample.y), color=lines.format(self.colours.line),
            style=dashes, penwidth=_n(thickness), label=label,
            lp=self._pos(sample.x2 + 8 + text_width(sample.text, TEXT_SIZE) / 2, sample.y), **{"class": "legend"})
        self._ring(f"legend{index}", sample.kind, sample.x1 + 2, sample.y)


ENTITIES = {" ": "&#160;", "\\": "&#92;&#92;"}


def _gap(height: int) -> str:
    return f'<TR><TD FIXEDSIZE="TRUE" WIDTH="1" HEIGHT="{height}"></TD></TR>' if height > 0 else ""


def _alone(cells: str, width: float, height: float) -> str:
    return (f'<TABLE {PLAIN_TABLE} FIXEDSIZE="TRUE" WIDTH="{width:.0f}" HEIGHT="{height:.0f}"><TR>{cells}</TR></TABLE>')


def escaped(text: str) -> str:
    """A text for an HTML-like label: all but letters, digits and a few signs as numbered entities.

    Nothing in it can end the label, open a tag or start an escape: engines put names in place of `\\N` and the like
    even here, and make one backslash of two. A bare `]` alone stops some of them.
    """
    return re.sub(r"[^\w .,/%()+-]| (?= )", lambda match: ENTITIES.get(match[0]) or f"&#{ord(match[0])};", text)
