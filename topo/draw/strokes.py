"""How each kind of wire is drawn: its lines side by side, its dashes, and how it is made loud. Plain shapes.

Loud is not a matter of colour: a loud line is three times as thick, with a dark edge on both sides.
"""

from __future__ import annotations

from collections.abc import Iterator

from topo.draw.placed import Track
from topo.draw.shapes import Dash, Ink, Stroke

THIN, LOUD, CASING = 2.0, 6.0, 10.0
WIRE_LINES: dict[str, tuple[tuple[float, str], ...]] = {
    "superspeed": ((-2.5, "superspeed"), (2.5, "superspeed")),
    "both": ((-4.5, "superspeed"), (0.5, "superspeed"), (5.5, "usb2")),
    "usb2": ((0.0, "usb2"),), "serial": ((0.0, "serial"),), "power": ((0.0, "power"),),
    "planned": ((0.0, "planned"),), "inside": ((0.0, "usb2"),),
}
"""Each line of a wire: how far it is from the middle, and what runs on it."""
DASHES: dict[str, Dash] = {"serial": "dashed", "power": "dotted", "planned": "planned"}


def strokes(kind: str, points: Track, ink: Ink = "line", tone: str = "", side: str = "") -> Iterator[Stroke]:
    """The lines of a wire through points, from the back. A loud one is loud on the side that is named."""
    for aside, what in WIRE_LINES.get(kind, WIRE_LINES["usb2"]):
        run = _beside(points, aside)
        dash = DASHES.get(what, "")
        if tone == "loud" and side in ("", what):
            yield Stroke(run, "line", CASING if len(WIRE_LINES[kind]) == 1 or side else LOUD)
            yield Stroke(run, "trouble", LOUD if len(WIRE_LINES[kind]) == 1 or side else THIN + 1.0)
            if dash:
                yield Stroke(run, "paper", THIN, dash)
        else:
            yield Stroke(run, ink, THIN if what != "power" else 2.5, dash)


def half_width(kind: str) -> float:
    """From the middle of a wire to its edge, in pixels."""
    return max(abs(aside) for aside, _ in WIRE_LINES.get(kind, WIRE_LINES["usb2"])) + THIN / 2


def _beside(points: Track, aside: float) -> Track:
    """A line beside another, below it where it runs across and left of it where it runs down."""
    if not aside:
        return points
    return tuple((x - (aside if len(points) > 2 else 0.0), y + aside) for x, y in points)
