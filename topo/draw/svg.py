"""An engine's SVG made self-contained: title and description, colours by meaning for light and dark, no fetches.

What the engine wrote is rebuilt from an allow-list of elements and attributes; nothing else gets into the file.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree

from topo.draw.dot import dot_text
from topo.draw.engine import drawn
from topo.draw.look import DARK, FONT_STACK, LIGHT, Colours, names_by_colour
from topo.draw.scene import Scene
from topo.errors import CommandError

SVG = "http://www.w3.org/2000/svg"
_KEPT = {
    "g": ("transform",), "polygon": ("points", "fill", "stroke", "stroke-width", "stroke-dasharray"),
    "path": ("d", "fill", "stroke", "stroke-width", "stroke-dasharray"),
    "polyline": ("points", "fill", "stroke", "stroke-width", "stroke-dasharray"),
    "text": ("x", "y", "text-anchor", "font-size", "font-weight", "fill"),
    "ellipse": ("cx", "cy", "rx", "ry", "fill", "stroke", "stroke-width"),
}
_NAMES = names_by_colour(LIGHT)


def render_svg(scene: Scene) -> bytes:
    """The scene as one SVG file that needs nothing else, in UTF-8."""
    return ('<?xml version="1.0" encoding="UTF-8"?>\n' + svg_text(scene, "picture") + "\n").encode("utf-8")


def svg_text(scene: Scene, prefix: str) -> str:
    """The scene as an `<svg>` element; ids and classes of the page it may stand in start with `prefix`."""
    source = ElementTree.fromstring(drawn(dot_text(scene), "svg"))
    box = [float(number) for number in source.get("viewBox", "").split()]
    if len(box) != 4:
        raise CommandError("the drawing engine gave a picture without a size")
    shrunk = min(1.0, scene.width_px / box[2])
    root = ElementTree.Element("svg", {
        "xmlns": SVG, "viewBox": " ".join(f"{number:g}" for number in box),
        "width": f"{box[2] * shrunk:g}", "height": f"{box[3] * shrunk:g}", "role": "img", "class": prefix,
        "aria-labelledby": f"{prefix}-title {prefix}-desc", "font-family": FONT_STACK,
    })
    ElementTree.SubElement(root, "title", {"id": f"{prefix}-title"}).text = scene.title
    ElementTree.SubElement(root, "desc", {"id": f"{prefix}-desc"}).text = description(scene)
    ElementTree.SubElement(root, "style").text = style(prefix)
    keys = {node.key: node.name for node in scene.nodes}
    classes = path_classes(scene)
    for child in source:
        _copy(child, root, keys, classes)
    ElementTree.indent(root, space=" ")
    return ElementTree.tostring(root, encoding="unicode")


def description(scene: Scene) -> str:
    """The picture in words, for those who hear it: what each part hangs on, and the verdict."""
    names = {node.key: node.name for node in scene.nodes}
    wires = [f"{names[wire.below]} on {names[wire.above]}" + (f" socket {wire.socket}" if wire.socket else "")
             + (f", {wire.speed}" if wire.speed else "") for wire in scene.wires if wire.kind != "inside"]
    return f"{scene.verdict} " + "; ".join(wires) + "."


def style(prefix: str) -> str:
    """The style sheet: each colour a variable, set for light, for dark, and for paper."""
    names = list(_NAMES.values())

    def variables(colours: Colours) -> str:
        return ";".join(f"--{prefix}-{name}:{getattr(colours, name)}" for name in names)

    rules = [f".{prefix}{{{variables(LIGHT)};max-width:100%;height:auto}}"]
    rules += [f".{prefix} .f-{name}{{fill:var(--{prefix}-{name})}}.{prefix} .s-{name}{{stroke:var(--{prefix}-{name})}}"
              for name in names]
    rules.append(f"@media (prefers-color-scheme:dark){{.{prefix}{{{variables(DARK)}}}}}")
    rules.append(f"@media print{{.{prefix}{{{variables(LIGHT)}}}}}")
    return "\n".join(rules)


def path_classes(scene: Scene) -> dict[str, str]:
    """For each node and wire the classes of all paths it lies on: `p-KEY` for every node at or below it."""
    below: dict[str, list[str]] = {node.key: [node.key] for node in scene.nodes}
    above = {wire.below: wire for wire in scene.wires}
    for node in scene.nodes:
        wire = above.get(node.key)
        while wire is not None:
            below[wire.above].append(node.key)
            wire = above.get(wire.above)
    classes = {key: " ".join(f"p-{name}" for name in names) for key, names in below.items()}
    classes.update({wire.key: classes[wire.below] for wire in scene.wires})
    return classes


def _copy(source: ElementTree.Element, into: ElementTree.Element, keys: dict[str, str],
          classes: dict[str, str]) -> None:
    """Copies what the allow-list knows, with colours turned into classes; attributes stay for simple viewers."""
    tag = source.tag.rpartition("}")[2] if isinstance(source.tag, str) else ""
    if tag == "a":
        for child in source:
            _copy(child, into, keys, classes)
        return
    if tag not in _KEPT:
        return
    made = ElementTree.SubElement(into, tag, {
        name: value for name in _KEPT[tag] if (value := source.get(name)) is not None and _harmless(value)})
    marks = [f"{letter}-{_NAMES[value.lower()]}" for letter, name in (("f", "fill"), ("s", "stroke"))
             if (value := source.get(name)) is not None and value.lower() in _NAMES]
    if made.get("stroke") == "transparent":
        made.set("stroke", "none")
    if made.get("fill") == "transparent":
        made.set("fill", "none")
    if tag == "text":
        made.text = source.text
        if made.get("fill") is None:
            marks.append("f-ink")
    if tag == "g":
        _name(source, made, keys, classes, marks)
        for child in source:
            _copy(child, made, keys, classes)
    if marks:
        made.set("class", " ".join(marks))


def _name(source: ElementTree.Element, made: ElementTree.Element, keys: dict[str, str], classes: dict[str, str],
          marks: list[str]) -> None:
    """Gives a group its part's name as a title (seen on hover), and the classes of the paths it lies on."""
    title = source.find(f"{{{SVG}}}title")
    key = (title.text or "") if title is not None else ""
    kind = (source.get("class") or "").split(" ")[0]
    if key in keys:
        ElementTree.SubElement(made, "title").text = keys[key]
    ring = re.fullmatch(r"(w[0-9]+)(imaging|guiding)[0-9]", key)
    if ring:
        marks += ["node", *classes.get(ring[1], "").split()]
    for end in re.findall(r"n[0-9]+$", key):
        marks += ["node" if kind == "node" else "wire", f"k-{end}", *classes.get(end, "").split()]


def _harmless(value: str) -> bool:
    return re.fullmatch(r"[#(),. A-Za-z0-9+-]*", value) is not None and "url" not in value.lower()
