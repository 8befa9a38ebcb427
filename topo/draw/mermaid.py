"""The scene as Mermaid text, for places that draw such text themselves. Every text becomes numbered entities.

A letter, a digit and a few harmless signs stay; all else is written `#NN;`, so no text can end its quotes, start a
tag, a link or a directive.
"""

from __future__ import annotations

import re

from topo.draw.look import LIGHT
from topo.draw.scene import Node, Scene, Wire
from topo.draw.words import joined

ARROWS = {"superspeed": "===", "both": "===", "usb2": "---", "serial": "-.-", "power": "-.-", "inside": "---"}
"""Mermaid has three strokes: thick SuperSpeed, thin USB 2, dotted the rest; the words on the wire tell them apart."""
KIND_WORDS = {"serial": "serial", "power": "12 V"}


def render_mermaid(scene: Scene) -> bytes:
    """The scene as a Mermaid flow chart in UTF-8."""
    lines = ["flowchart LR"]
    lines += [f"  {node.key}{_label(node)}" for node in scene.nodes]
    lines += [f"  {wire.above} {ARROWS[wire.kind]}{_on(wire)} {wire.below}" for wire in scene.wires]
    lines += [
        f"  classDef imaging stroke:{LIGHT.imaging},stroke-width:4px",
        f"  classDef guiding stroke:{LIGHT.guiding},stroke-width:4px,stroke-dasharray:6 3",
    ]
    for role in ("imaging", "guiding"):
        keys = ",".join(node.key for node in scene.nodes if node.role == role)
        lines += [f"  class {keys} {role}"] if keys else []
    return ("\n".join(lines) + "\n").encode("utf-8")


def _label(node: Node) -> str:
    texts = (node.name, node.role if node.role != "other" else "", *node.lines, *(load.text for load in node.loads),
             *(f"[{mark.text}]" for mark in node.marks))
    return '["' + "<br/>".join(entities(text) for text in texts if text) + '"]'


def _on(wire: Wire) -> str:
    text = joined(wire.socket, KIND_WORDS.get(wire.kind, ""), wire.speed, wire.length, wire.note,
                  wire.load.text if wire.load else "", *(f"[{mark.text}]" for mark in wire.marks))
    return f'|"{entities(text)}"|' if text else ""


def entities(text: str) -> str:
    """The text with everything but letters, digits, spaces and `.,/+%-` as `#NN;`."""
    return re.sub(r"[^\w .,/+%-]|_", lambda match: f"#{ord(match[0])};", text)
