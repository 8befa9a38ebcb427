"""The scene as lines of text: socket, wire, part, and its figures to the right. Spans carry styles, not colours.

Two strokes ══ for SuperSpeed, one ── for USB 2, ≡≡ for a cable with both sides in use, dashes for serial, dots for
12 V. Marks stand in square brackets. Every line fits the columns asked for.
"""

from __future__ import annotations

from collections.abc import Iterable

from topo.draw.scene import Node, Scene, Wire
from topo.draw.slots import tiers
from topo.draw.words import joined
from topo.frozen import frozen
from topo.words.cells import cells, wrap
from topo.words.lists import counted

GLYPHS = {"superspeed": "══", "usb2": "──", "both": "≡≡", "serial": "╌╌", "power": "··", "inside": ""}
ASCII = {"superspeed": "==", "usb2": "--", "both": "=-", "serial": "-.", "power": "..", "inside": ""}
LEGEND = {"superspeed": "SuperSpeed", "usb2": "USB 2", "both": "both sides", "serial": "serial", "power": "12 V"}
STEP = 3
DEEPEST = 30
"""Columns a deep tree may indent; further tiers stay there."""


@frozen
class Run:
    """A run of text with one style: title, name, imaging, guiding, role, wire, figure, quiet, trouble."""

    text: str
    style: str = ""


Runs = tuple[Run, ...]


def tree_lines(scene: Scene, columns: int = 80, ascii_only: bool = False, details: bool = True) -> tuple[Runs, ...]:
    """The scene as lines no wider than `columns` (at least 40). Without `details` each part is one line if it fits."""
    lines = _Tree(scene, max(40, columns), ASCII if ascii_only else GLYPHS, details).lines()
    if not ascii_only:
        return lines
    return tuple(tuple(Run(span.text.replace(" · ", ", "), span.style) for span in line) for line in lines)


def plain_text(lines: Iterable[Runs]) -> str:
    """Lines without styles, trailing blanks cut."""
    return "\n".join("".join(span.text for span in line).rstrip() for line in lines)


class _Tree:
    def __init__(self, scene: Scene, columns: int, glyphs: dict[str, str], details: bool) -> None:
        self.scene, self.columns, self.glyphs, self.details = scene, columns, glyphs, details
        self.tier = tiers(scene)
        self.above = {wire.below: wire for wire in scene.wires}

    def lines(self) -> tuple[Runs, ...]:
        found: list[Runs] = [(Run(line, "title"),) for line in wrap(self.scene.title, self.columns)]
        found += [(Run(line, "quiet"),) for line in wrap(self.scene.verdict, self.columns)]
        found.append(())
        for node in self.scene.nodes:
            wire = self.above.get(node.key)
            if wire is None and len(found) > 3 and self.details:
                found.append(())
            found += self._node(node, wire)
        found += ((), *self._legend()) if self.details else ()
        for text in self.scene.cautions:
            found += [(Run(line, "quiet"),) for line in wrap(text, self.columns)]
        return tuple(found)

    def _node(self, node: Node, wire: Wire | None) -> list[Runs]:
        indent = min(STEP * self.tier[node.key], DEEPEST)
        head = [Run(" " * indent)]
        if wire is not None and wire.kind != "inside":
            socket = wrap(wire.socket, 16)[0] if wire.socket else ""
            head += [Run(f"{socket} " if socket else "", "figure"), Run(self.glyphs[wire.kind] + " ", "wire")]
        name_at = sum(cells(span.text) for span in head)
        names = wrap(node.name, self.columns - name_at)
        head.append(Run(names[0], "name" if node.kind != "again" else ""))
        lines: list[Runs] = [tuple(head)]
        lines += [(Run(" " * name_at), Run(name, "name")) for name in names[1:]]
        if node.role in ("imaging", "guiding") or (node.role not in ("", "other") and node.role not in node.name):
            style = node.role if node.role in ("imaging", "guiding") else "role"
            self._append(lines, (Run("  " + node.role, style),), name_at)
        short = node.lines if len(node.lines) == 1 and wire is not None and cells(node.lines[0]) <= 14 else ()
        figures = joined(*dict.fromkeys((*short, *_figures(wire, self.details))))
        if figures:
            self._figures(lines, figures, name_at)
        inner = indent + 2 + (0 if wire is None or wire.kind == "inside" else 2)
        if self.details:
            lines += self._details(joined(*(() if short else node.lines), _free(node),
                                            *(load.text for load in node.loads)), inner)
        elif node.loads and node.kind == "controller":
            lines += self._details(joined(*(load.text for load in node.loads)), inner)
        for mark in (*(wire.marks if wire else ()), *node.marks):
            if not self.details and mark.kind in ("beside", "note", "do"):
                continue
            style = "trouble" if mark.kind not in ("beside", "note", "limit") else "quiet"
            text = f"[do: {mark.text}]" if mark.kind == "do" else f"[{mark.text}]"
            lines += [(Run(" " * inner), Run(line, style)) for line in wrap(text, self.columns - inner)]
        if self.details:
            lines += [(Run(" " * inner), Run(line, "trouble")) for move in self.scene.moves if move.part == node.key
                      for line in (wrap(f"[do: {move.words}]", self.columns - inner) if move.words else ())]
        return lines

    def _append(self, lines: list[Runs], spans: Runs, name_at: int) -> None:
        """Adds spans to the last line if they fit, else on a line of their own."""
        used = sum(cells(span.text) for span in (*lines[-1], *spans))
        if used <= self.columns:
            lines[-1] = (*lines[-1], *spans)
        else:
            lines.append((Run(" " * name_at), Run(spans[0].text.strip(), spans[0].style)))

    def _figures(self, lines: list[Runs], figures: str, name_at: int) -> None:
        """Figures flush right on the last line if they fit, else on lines below."""
        used = sum(cells(span.text) for span in lines[-1])
        room = self.columns - used - cells(figures)
        if room >= 2:
            lines[-1] = (*lines[-1], Run(" " * room), Run(figures, "figure"))
            return
        at = min(name_at + 2, self.columns // 2)
        lines += [(Run(" " * at), Run(line, "figure")) for line in wrap(figures, self.columns - at)]

    def _details(self, text: str, inner: int) -> list[Runs]:
        if not text:
            return []
        return [(Run(" " * inner), Run(line, "quiet")) for line in wrap(text, self.columns - inner)]

    def _legend(self) -> list[Runs]:
        used = {wire.kind for wire in self.scene.wires}
        text = "   ".join(f"{self.glyphs[kind]} {words}" for kind, words in LEGEND.items() if kind in used)
        return [(Run(line, "quiet"),) for line in wrap(text, self.columns)] if text else []


def _free(node: Node) -> str:
    """The sockets in which nothing is plugged: `2 sockets free: 6, 7`."""
    free = [socket.name for socket in node.sockets if socket.free]
    return f"{counted(len(free), 'socket')} free: {', '.join(free)}" if free else ""


def _figures(wire: Wire | None, details: bool) -> tuple[str, ...]:
    if wire is None:
        return ()
    return (wire.speed, wire.length, wire.note, wire.load.text if wire.load and details else "", wire.power)
