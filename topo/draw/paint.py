"""A placed scene as shapes: cards, strips of sockets, wires, tags, captions. Decides how things look, not where."""

from __future__ import annotations

from collections.abc import Iterator

from topo.draw.blocks import (
    BOLD,
    METER,
    METERS,
    RINGS,
    SIZES,
    TAGS,
    Row,
    RunStyle,
    block_height,
    has_meter,
    run_width,
)
from topo.draw.look import TEXT_SIZE
from topo.draw.placed import Box, Caption, Placed, Route, Sample, Strand, Stub, Track
from topo.draw.shapes import Cluster, Ink, Sheet, Slab, Stroke, Words, hatched
from topo.draw.strokes import half_width, strokes
from topo.draw.told import description, path_classes

Plain = Slab | Stroke | Words
RING_PLACES = {"imaging": ((4.0, 5.0),), "guiding": ((12.0, 2.5), (16.5, 2.5))}
"""Where along a wire, and how wide, the rings of what it carries stand, in pixels."""
RING_HIGH = 15.0
PULLED = 16.0
"""Room at the start of a wire for the cross of a plug that is to come out."""
CASE_ROOM, EMPTY_CASE = 6.0, 40.0
"""Between a controller and the case around it; and how tall the case is left empty."""
INKS: dict[str, Ink] = {"text": "quiet", "note": "quiet", "role": "quiet"}
_BASE = 0.76
"""Of a line's height, how far down letters stand."""


def painted(placed: Placed) -> Sheet:
    """The whole picture: boxes, then wires, then what is written on them."""
    classes = path_classes(placed.scene)
    groups = [*(_node(box, placed, classes) for box in placed.boxes),
              *(Cluster(tuple(_rail(each.x, each.y1, each.y2)), classes="rail") for each in placed.rails),
              *(_wire(strand, classes) for strand in placed.strands),
              *(_stub(stub, classes) for stub in placed.stubs),
              *(_route(route, classes) for route in placed.routes),
              *(Cluster(tuple(_caption(caption)), classes="caption") for caption in placed.captions),
              *(Cluster(tuple(_sample(sample)), classes="legend") for sample in placed.samples)]
    return Sheet(placed.width, placed.height, tuple(groups), placed.scene.title, description(placed.scene))


# -- nodes ----------------------------------------------------------------------------------------------------------


def _node(box: Box, placed: Placed, classes: dict[str, str]) -> Cluster:
    node = box.node
    named = f"node k-{node.key} {classes.get(node.key, '')}".strip()
    return Cluster(tuple(_box(box, placed)), node.key, named, node.name)


def _box(box: Box, placed: Placed) -> Iterator[Plain]:
    node = box.node
    dashed = any(mark.kind == "missing" for mark in node.marks)
    if node.kind == "computer" and box.bar:
        yield Slab(box.x, box.y, box.width, box.height)
        yield Stroke(_case(box, placed), "edge", 1.5)
        yield from _rows(box.rows, box.x + 8, box.y + 6)
        return
    loud = node.tone == "loud" and node.kind != "device"
    if box.bar:
        edge: Ink = "line" if loud else "edge"
        if box.sockets:
            yield Slab(box.right - box.sockets, box.y, box.sockets, box.height, "bar", edge, 2.0 if loud else 1.0)
        yield Slab(box.x, box.y, box.width - box.sockets, box.card or box.height, "bar", edge, 2.0 if loud else 1.0,
                   dashed)
    else:
        yield Slab(box.x, box.y, box.width, box.height, "", "edge" if dashed else "", 1.0, dashed)
    used = 0.0
    for x, width, ink in _rings(node.role, node.kind):
        yield Slab(box.x + x, box.y + 1, width, (box.card or box.height) - 2, ink)
        used = x + width
    top = box.y + 6 if box.bar else box.y + (box.height - block_height(box.rows)) / 2
    yield from _rows(box.rows, box.x + used + 6, top)
    yield from _sockets(box, placed)


def _case(box: Box, placed: Placed) -> Track:
    """The edge of a computer: round its name and its controllers, and where it is tall between them, close to the strip
    of sockets. So a rig with much on one controller has no large empty case."""
    heads = sorted((each.y, each.y + each.card, each.right - each.sockets) for each in placed.boxes
                   if each.node.kind == "controller" and box.x <= each.x and each.right <= box.right
                   and box.y <= each.y <= box.y + box.height)
    low, left = box.y + box.height, [(box.x, box.y)]
    for number, (_, end, strip) in enumerate(heads):
        following = heads[number + 1][0] - CASE_ROOM if number + 1 < len(heads) else low
        if following - end - CASE_ROOM > EMPTY_CASE:
            inner = strip - CASE_ROOM
            left += [(box.x, end + CASE_ROOM), (inner, end + CASE_ROOM), (inner, following)]
            left += [] if following == low else [(box.x, following)]
    left += [] if left[-1][1] == low else [(box.x, low)]
    return (*left, (box.right, low), (box.right, box.y), (box.x, box.y))


def _sockets(box: Box, placed: Placed) -> Iterator[Plain]:
    """The names of sockets in their strip."""
    if not box.bar or box.node.kind == "computer":
        return
    for strand in placed.strands:
        if strand.wire.above == box.node.key and strand.label:
            yield Words(box.right - 4, strand.y + 4, strand.label, TEXT_SIZE, "ink", "end")
    for stub in placed.stubs:
        if stub.above == box.node.key and stub.label:
            yield Words(box.right - 4, stub.y + 4, stub.label, TEXT_SIZE, "quiet", "end")


def _rings(role: str, kind: str) -> tuple[tuple[float, float, Ink], ...]:
    """One broad ring for imaging, two thin ones for guiding, a thin grey one for the rest."""
    if kind not in ("device", "again") or not role:
        return ()
    rings: dict[str, tuple[tuple[float, float, Ink], ...]] = {
        "imaging": ((0.0, 8.0, "imaging"),), "guiding": ((0.0, 3.0, "guiding"), (5.0, 3.0, "guiding"))}
    return rings.get(role, ((0.0, 3.0, "edge"),))


# -- text -----------------------------------------------------------------------------------------------------------


def _cross(x: float, y: float) -> Iterator[Plain]:
    """Where a plug is to be pulled out."""
    for points in (((x - 6, y - 6), (x + 6, y + 6)), ((x - 6, y + 6), (x + 6, y - 6))):
        yield Stroke(points, "paper", 6.0)
        yield Stroke(points, "ink", 3.0)


def _rows(rows: tuple[Row, ...], x: float, y: float) -> Iterator[Plain]:
    """Rows from the top."""
    for row in rows:
        at = x
        for style, text in row.runs:
            yield from _run(style, text, at, y, row.height)
            at += run_width(style, text) + 8
        y += row.height


def _run(style: RunStyle, text: str, x: float, y: float, height: float) -> Iterator[Plain]:
    if style == "gap":
        return
    if style in METERS:
        yield from _meter(x, y, float(text), style == "loud-meter")
    elif style in TAGS:
        yield from _tag(style, text, x, y)
    else:
        size = SIZES.get(style, TEXT_SIZE)
        ink: Ink = "trouble" if style == "figure" else INKS.get(style, "ink")
        if style == "role" and text in ("imaging", "guiding"):
            ink = "imaging" if text == "imaging" else "guiding"
        yield Words(x, y + height / 2 + size * (_BASE - 0.40), text, size, ink, bold=style in BOLD)


def _tag(style: RunStyle, text: str, x: float, y: float) -> Iterator[Plain]:
    """A tag: a border with its words in the middle, so that they stay there in any font."""
    lines = text.split("\n")
    width, height = run_width(style, text), 14.0 * len(lines) + 4.0
    fill: Ink = "trouble" if style == "filled" else "paper"
    edge: Ink = "ink" if style == "do" else "trouble"
    yield Slab(x, y + 1, width, height, fill, edge, 1.5 if style == "do" else 1.0, style == "do")
    ink: Ink = {"filled": "on_trouble", "outlined": "trouble"}.get(style, "ink")  # type: ignore[assignment]
    for number, line in enumerate(lines):
        yield Words(x + width / 2, y + 14.0 * number + 13.5, line, TEXT_SIZE, ink, "middle", True)


def _meter(x: float, y: float, share: float, loud: bool) -> Iterator[Plain]:
    """What is free of a link is the empty part. Where the first finding says it is too full, it is hatched."""
    full = METER * min(1.0, max(0.0, share))
    yield Slab(x, y + 1, METER, 6.0, "paper", "trouble" if loud else "edge")
    if loud:
        yield from hatched(x, y + 1, full, 6.0, "trouble")
    elif full >= 1.0:
        yield Slab(x, y + 1, full, 6.0, "edge")


# -- wires ----------------------------------------------------------------------------------------------------------


def _wire(strand: Strand, classes: dict[str, str]) -> Cluster:
    wire = strand.wire
    return Cluster(tuple(_strand(strand)), wire.key, f"wire k-{wire.below} {classes.get(wire.key, '')} {wire.kind}",
                 ends=(wire.above, wire.below))


def _strand(strand: Strand) -> Iterator[Plain]:
    wire = strand.wire
    ink: Ink = "edge" if wire.tone == "faded" else "line"
    yield from strokes(wire.kind, strand.points, ink, wire.tone, wire.side)
    (x1, _), (x2, y) = strand.points[-2], strand.points[-1]
    for role in wire.carries if len(strand.points) == 2 else ():
        yield from _ring(role, x1 + (PULLED if strand.pulled else 0.0), y)
    middle = (x1 + x2 + (RINGS if wire.carries and strand.tags else 0)) / 2
    text_ink: Ink = "quiet" if wire.tone == "faded" else "ink"
    tags = block_height(strand.tags)
    reach = max(tags / 2, half_width(wire.kind) + (4.0 if wire.tone == "loud" else 0.0),
                RING_HIGH / 2 if strand.pulled and wire.carries else 0.0)
    if strand.pulled:
        yield from _cross(x1 + PULLED / 2 if len(strand.points) == 2 else (x1 + x2) / 2, y)
    for number, line in enumerate(reversed(strand.above)):
        yield Words((x1 + x2) / 2, y - reach - 5 - 14 * number, line, TEXT_SIZE, text_ink, "middle")
    at = y - tags / 2
    for row in strand.tags:
        style, text = row.runs[0]
        width = run_width(style, text)
        if style in TAGS:
            yield from _tag(style, text, middle - width / 2, at)
        else:
            yield Slab(middle - width / 2 - 2, at, width + 4, row.height, "paper")
            yield Words(middle, at + 11.0, text, TEXT_SIZE, "quiet", "middle")
        at += row.height
    for number, line in enumerate(strand.below):
        yield Words((x1 + x2) / 2, y + reach + 12 + 14 * number, line, TEXT_SIZE, "quiet", "middle")
    load = wire.load
    if load is not None and len(strand.points) == 2 and has_meter(load):
        yield from _meter((x1 + x2 - METER) / 2, y + reach + 2 + 14 * len(strand.below), load.share, load.loud)


def _ring(role: str, x: float, y: float) -> Iterator[Plain]:
    """A broad ring for imaging, two thin ones for guiding."""
    for along, width in RING_PLACES.get(role, ()):
        yield Slab(x + along, y - RING_HIGH / 2, width, RING_HIGH, "imaging" if role == "imaging" else "guiding")


def _rail(x: float, y1: float, y2: float) -> Iterator[Plain]:
    """The loud line inside the computer at which wires meet."""
    yield Stroke(((x, y1), (x, y2)), "line", 10.0)
    yield Stroke(((x, y1), (x, y2)), "trouble", 6.0)


def _stub(stub: Stub, classes: dict[str, str]) -> Cluster:
    shapes: list[Plain] = [] if stub.wanted else [
        *strokes(stub.kind, ((stub.x, stub.y), (stub.x + 9, stub.y)), "edge"),
        Slab(stub.x + 9, stub.y - 4.5, 9, 9, "paper", "edge", 1.5)]
    if stub.text:
        shapes.append(Words(stub.x + 23, stub.y + 4, stub.text, TEXT_SIZE, "quiet"))
    return Cluster(tuple(shapes), classes=f"wire {classes.get(stub.above, '').split(' ')[0]}".strip())


def _route(route: Route, classes: dict[str, str]) -> Cluster:
    x, y = route.points[-1]
    shapes: list[Plain] = [Stroke(route.points, "paper", 6.0), Stroke(route.points, "ink", 2.5, "planned")]
    level = route.points[-2][1] == y
    arrow = ((x + 9, y - 5), (x, y), (x + 9, y + 5)) if level else ((x - 5, y - 9), (x, y), (x + 5, y - 9))
    shapes.append(Stroke(arrow, "ink", 2.5))
    end = route.points[0]
    shapes.append(Slab(end[0] - 3, end[1] - 3, 6, 6, "ink"))
    shapes += _rows(route.tag, route.tag_x, y - block_height(route.tag) / 2)
    return Cluster(tuple(shapes), classes=f"wire {classes.get(route.move.part, '')}".strip())


# -- captions -------------------------------------------------------------------------------------------------------


def _caption(caption: Caption) -> Iterator[Plain]:
    yield from _rows(caption.rows, caption.x, caption.y)


def _sample(sample: Sample) -> Iterator[Plain]:
    """A wire of the legend with its name to the right."""
    run = ((sample.x1, sample.y), (sample.x2, sample.y))
    if sample.kind == "free":
        yield Stroke(((sample.x1, sample.y), (sample.x1 + 12, sample.y)), "edge", 2.0)
        yield Slab(sample.x1 + 12, sample.y - 4.5, 9, 9, "paper", "edge", 1.5)
    elif sample.kind == "pulled":
        yield from strokes("usb2", run)
        yield from _cross(sample.x1 + 17, sample.y)
    elif sample.kind == "loud":
        yield from strokes("usb2", run, tone="loud")
    else:
        yield from strokes(sample.kind, run, "ink" if sample.kind == "planned" else "line")
        yield from _ring(sample.kind, sample.x1 + 2, sample.y)
    yield Words(sample.x2 + 8, sample.y + 4, sample.text, TEXT_SIZE, "ink")
