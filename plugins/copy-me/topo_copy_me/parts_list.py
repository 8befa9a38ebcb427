"""The parts of a rig as a table for a spreadsheet: one row to a part, with where it is plugged in and by what.

A spreadsheet runs a cell that begins with one of = + - @ as a formula, so such a cell gets an apostrophe in front
(OWASP, "CSV Injection"). Quoting is done by the csv module (RFC 4180).
"""

from __future__ import annotations

import csv
import io

from topo.draw.scene import Scene
from topo.plugin.values import Renderer

HEADS = ("part", "kind", "role", "plugged into", "socket", "speed", "length")
RUNS = ("=", "+", "-", "@", "\t", "\r")


def render(scene: Scene) -> bytes:
    """The table as CSV, UTF-8, in the order of the picture."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    for node in scene.nodes:
        if node.kind in ("controller", "again"):
            continue
        wire = scene.wire_to(node.key)
        above = scene.node(wire.above).name if wire else ""
        leg = (above, wire.socket, wire.speed, wire.length) if wire else ("",) * 4
        writer.writerow([_cell(text) for text in (node.name, node.kind, node.role, *leg)])
    return out.getvalue().encode("utf-8")


def _cell(text: str) -> str:
    return f"'{text}" if text.startswith(RUNS) else text


RENDERER = Renderer("parts-list", (".csv",), "the parts as a table for a spreadsheet", render)
