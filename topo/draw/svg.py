"""The scene as SVG: self-contained, light and dark, in shapes of the house. No engine takes part."""

from __future__ import annotations

from topo.draw.layout import place
from topo.draw.paint import painted
from topo.draw.scene import Scene
from topo.draw.shapes import sheet_file


def render_svg(scene: Scene) -> bytes:
    """The scene as one SVG file that needs nothing else, in UTF-8."""
    return sheet_file(painted(place(scene)), "picture")
