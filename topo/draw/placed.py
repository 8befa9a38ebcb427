"""A scene with places, in pixels from the top left: what both layouts give and the painter takes. Computes nothing."""

from __future__ import annotations

from topo.draw.blocks import Row
from topo.draw.scene import Move, Node, Scene, Wire, WireKind
from topo.frozen import frozen

MARGIN = 14.0
ROW_GAP = 9.0
"""Between what hangs beneath each other."""
FREE_ROW = 17.0
"""Height of a free socket's row."""
Track = tuple[tuple[float, float], ...]


@frozen
class Box:
    """A node's place. A bar is a card with its text, `card` pixels high, and at its right a strip of sockets, `sockets`
    pixels wide, that is as high as the box. `text` is how far its text is from its left edge."""

    node: Node
    x: float
    y: float
    width: float
    height: float
    rows: tuple[Row, ...]
    bar: bool
    sockets: float = 0.0
    card: float = 0.0

    @property
    def right(self) -> float:
        """Where it ends."""
        return self.x + self.width


@frozen
class Strand:
    """A wire's place: through `points`, with lines of text above its middle, tags on it, lines of text below. `pulled`
    where its plug is to come out."""

    wire: Wire
    points: Track
    above: tuple[str, ...] = ()
    tags: tuple[Row, ...] = ()
    below: tuple[str, ...] = ()
    half: float = 0.0
    label: str = ""
    pulled: bool = False

    @property
    def y(self) -> float:
        """Where it reaches its part."""
        return self.points[-1][1]


@frozen
class Stub:
    """A free socket, or several in a row: a short end of wire at the right of `above`, its name, and words beside it.
    `wanted` where a plug is to go in."""

    above: str
    names: tuple[str, ...]
    kind: WireKind
    x: float
    y: float
    label: str
    text: str
    wanted: bool = False


@frozen
class Route:
    """Where a moved plug's cable will run: from its part through `points` to the new socket. `tag` says what to do."""

    move: Move
    points: Track
    tag: tuple[Row, ...] = ()
    tag_x: float = 0.0


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
class Rail:
    """The line at which several wires of a controller meet, where that is what the first finding is about."""

    x: float
    y1: float
    y2: float


@frozen
class Placed:
    """A scene with places."""

    scene: Scene
    width: float
    height: float
    boxes: tuple[Box, ...]
    strands: tuple[Strand, ...]
    captions: tuple[Caption, ...]
    samples: tuple[Sample, ...]
    stubs: tuple[Stub, ...] = ()
    routes: tuple[Route, ...] = ()
    rails: tuple[Rail, ...] = ()
