"""A renderer: from the scene of a rig to the bytes of one kind of file. Plugins hand it over; nothing is drawn here."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from topo.frozen import frozen


@frozen
class Renderer:
    """A way to draw a rig.

    `suffixes` are file endings it serves (".svg"), `render` takes a `topo.draw.scene.Scene` and returns the whole
    file. Every text of a scene is untrusted: the renderer escapes it for its own output.
    """

    name: str
    suffixes: tuple[str, ...]
    summary: str
    render: Callable[[Any], bytes]
