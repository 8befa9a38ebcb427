"""The rules for renderers: a rig whose every name is hostile comes out harmless, and the same bytes each time.

Text in a picture's own syntax is judged by parsing it where there is a parser, and by what must not appear in it raw.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from topo.plugin.guard import SLOW_TIME_OUT_S
from topo.plugin.isolate import run

if TYPE_CHECKING:
    from topo.model.renderer import Renderer

TOKEN = "zq7"
"""Stands in every hostile name, so that they can be found in what comes out."""

HOSTILE_RIG = r'''
rig: "zq7 <script>alert(1)</script> ]]> \" ' & --> <!-- zq7"
computer:
  controllers: {first: {}}
  ports:
    usb3-1: {controller: first, speed: super, usb2_bus: one}
    usb3-2: {controller: first, speed: super, usb2_bus: one}
hubs:
  "zq7<b>hub<b>&amp;": {speed: super, ports: 4, powered: true, plug: computer/usb3-1}
devices:
  "zq7\"];n0->n1;[\"": {role: imaging, width_px: 6248, height_px: 4176, speed: super, readout_mb_per_s: 350,
    plug: "zq7<b>hub<b>&amp;/1", use: {exposure_s: 60}}
  "zq7 onload=alert(1) `code` **b** [a](javascript:1)": {role: guiding, width_px: 1280, height_px: 960,
    speed: high, readout_mb_per_s: 37, plug: computer/usb3-2, use: {exposure_s: 2}}
  "zq7 | cell | $(id) ${id} %s {{x}} \\n": {role: focuser, speed: full, plug: computer/usb3-2}
'''
"""A rig file; a part's id may hold anything printable but '/'."""

_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x9f\u202a-\u202e\u2066-\u2069]")
_XML = (".svg", ".xml", ".xhtml")
_HTML = (".html", ".htm", ".md", *_XML)
_NAMES = (".dot", ".gv")


def renderer_breaches(renderer: Renderer, scene_of: Callable[[], Any]) -> Iterator[str]:
    """Every breach of one renderer, in words."""
    for breach in _breaches(renderer, scene_of):
        yield f"renderer {renderer.name}: {breach}"


def _breaches(renderer: Renderer, scene_of: Callable[[], Any]) -> Iterator[str]:
    drawn = []
    for _ in range(2):
        scene = scene_of()
        outcome = run(lambda scene=scene: renderer.render(scene), SLOW_TIME_OUT_S)  # type: ignore[misc]
        if outcome.failure:
            yield outcome.failure
            return
        yield from outcome.did
        drawn.append(outcome.value)
    if type(drawn[0]) is not bytes or not drawn[0]:
        yield f"gives {type(drawn[0]).__name__} and not the bytes of a file"
        return
    if drawn[0] != drawn[1]:
        yield "gives other bytes when it draws the same scene again"
    try:
        text = drawn[0].decode("utf-8")
    except UnicodeDecodeError:
        return
    yield from _text(text, renderer.suffixes)


def _text(text: str, suffixes: tuple[str, ...]) -> Iterator[str]:
    found = _CONTROL.search(text)
    if found:
        yield f"lets the character {found.group()!a} of a name through"
    if any(suffix in _HTML for suffix in suffixes):
        low = text.lower()
        if "<script" in low or "<b>hub" in low:
            yield "lets markup of a name through unescaped"
    if any(suffix in _XML for suffix in suffixes):
        yield from _xml(text)
    if any(suffix in _NAMES for suffix in suffixes) and f'{TOKEN}"];' in text:
        yield "lets a quotation mark of a name end its string"
    if ".json" in suffixes:
        try:
            json.loads(text)
        except ValueError as error:
            yield f"is no JSON: {error}"


def _xml(text: str) -> Iterator[str]:
    try:
        root = ElementTree.fromstring(text)
    except ElementTree.ParseError as error:
        yield f"is not well-formed: {error}"
        return
    for element in root.iter():
        tag = str(element.tag).rpartition("}")[2].lower()
        if tag in ("script", "foreignobject", "iframe", "object", "embed"):
            yield f"has an element <{tag}>"
        for name, value in element.attrib.items():
            bare = name.rpartition("}")[2].lower()
            if bare.startswith("on") or (bare in ("href", "src") and not value.startswith(("#", "data:image/"))):
                yield f"has an attribute {bare} that runs or fetches something"
