"""The look: colours by meaning on a light and on a dark ground, sizes of text. No words and no positions.

Meaning never rests on colour alone. Wires differ by their strokes (two lines SuperSpeed, one USB 2, dashes serial,
dots 12 V), roles by rings (one broad ring imaging, two thin ones guiding) and their written name, trouble by a
written tag and a thicker line. `tests/draw/test_look.py` holds the colours against contrast figures and simulated
colour-vision deficiencies.
"""

from __future__ import annotations

from dataclasses import asdict

from topo.frozen import frozen

FONT = "Helvetica"
FONT_STACK = "Helvetica, Arial, 'Liberation Sans', sans-serif"
FIGURE_SIZE = 22
"""The figure that matters: the one text of this size."""
NAME_SIZE = 13
TEXT_SIZE = 11
"""The smallest text of a picture, in pixels at its own width."""


@frozen
class Colours:
    """Colours by meaning, `#rrggbb`. No two of one ground are equal, so that each can be told apart in an SVG."""

    paper: str
    ink: str
    quiet: str
    line: str
    bar: str
    edge: str
    imaging: str
    guiding: str
    trouble: str
    on_trouble: str


LIGHT = Colours(
    paper="#fdfcf8", ink="#16202c", quiet="#4a5563", line="#1b2633", bar="#edf0f3", edge="#76828f",
    imaging="#032b77", guiding="#8a4c00", trouble="#c1154e", on_trouble="#fffffe",
)
DARK = Colours(
    paper="#10151c", ink="#eef1f5", quiet="#aab4c0", line="#f0f3f7", bar="#1c242e", edge="#7d8a98",
    imaging="#3d9df5", guiding="#ffd585", trouble="#ffadbf", on_trouble="#190008",
)


def names_by_colour(colours: Colours) -> dict[str, str]:
    """`#rrggbb` to the name of its meaning."""
    return {value: name for name, value in asdict(colours).items()}
