"""The scene: what a picture of a rig shows, as plain frozen values. Nothing here knows positions, colours or formats.

Every text in a scene went through `topo.model.plain`: nothing invisible is left in it. It is still untrusted: each
renderer escapes it for its own syntax.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, Literal

from topo.frozen import frozen

NodeKind = Literal["computer", "controller", "hub", "device", "supply", "again"]
"""`again` stands for a part that the scene shows elsewhere, where the 12 V tree comes to it."""

WireKind = Literal["superspeed", "usb2", "both", "serial", "power", "inside"]
"""`both`: a USB 3 cable whose two sides are both in use. `inside`: no cable, the controller is in the computer."""

MarkKind = Literal["meet", "beside", "limit", "fault", "risk", "note", "do", "missing", "unexpected", "moved", "slower"]
"""`meet`: guiding and imaging share the wire, it cannot carry both at once, and a fault or risk says that this does
harm. `beside`: they share it, and nothing says so. `limit`: it keeps a device from its best speed. `do`: what is to be
done here. The last four come from a comparison with what is plugged in."""

Tone = Literal["", "loud", "faded"]
"""`loud`: the first finding, a fault or risk, is about this. `faded`: there is such a finding, and this has no part
in it."""


@frozen
class Mark:
    """Something to notice on a node or wire, with the words that say it."""

    kind: MarkKind
    text: str


@frozen
class Load:
    """How full a link gets: the words, and the share of its time at the peak, 0 to 1. `loud` where the first finding
    is about this link."""

    text: str
    share: float
    loud: bool = False


@frozen
class Outlet:
    """A socket of a hub or controller: its name, what a wire from it may be, and whether nothing is plugged in."""

    name: str
    kind: WireKind
    free: bool


@frozen
class Node:
    """A part, a controller or a 12 V supply. `key` is a safe name within the scene (n0, n1, …); `part` the part's id.

    `role` is empty for all but devices; `lines` say its figures, `loads` those of links that start here; `sockets` are
    all that something can be plugged into here.
    """

    key: str
    kind: NodeKind
    name: str
    part: str
    role: str = ""
    lines: tuple[str, ...] = ()
    loads: tuple[Load, ...] = ()
    marks: tuple[Mark, ...] = ()
    sockets: tuple[Outlet, ...] = ()
    tone: Tone = ""


@frozen
class Wire:
    """A leg from `above` (at its `socket`) down to `below`, both keys of nodes.

    `speed`, `length`, `note` and `power` are figures in words, empty where there is nothing to say; `carries` the
    roles among imaging and guiding whose data runs over it. `side` is the side of a loud wire that is at fault, where
    it is not the whole of it.
    """

    key: str
    kind: WireKind
    above: str
    below: str
    socket: str = ""
    speed: str = ""
    length: str = ""
    note: str = ""
    load: Load | None = None
    power: str = ""
    carries: tuple[str, ...] = ()
    marks: tuple[Mark, ...] = ()
    tone: Tone = ""
    side: Literal["", "usb2", "superspeed"] = ""


@frozen
class Move:
    """A plug to be moved: `part` goes to the socket of `above`, both keys of nodes. `words` say it."""

    part: str
    above: str
    socket: str
    kind: WireKind
    words: str


@frozen
class Headline:
    """What is wrong and what to do: the first finding's severity, its figure, and in words whom it is about; then the
    steps of what to do first, and what to mind with it. Each may be empty but the severity."""

    severity: str
    figure: str
    says: str
    steps: tuple[str, ...] = ()
    mind: str = ""


@frozen
class Told:
    """A finding in one line: severity, certainty, name, the part it is about, and the message."""

    severity: str
    certainty: str
    name: str
    part: str
    message: str


@frozen
class Scene:
    """A whole picture: nodes in drawing order (each after the node above it), wires, findings. `width_px` is wanted.

    `cautions` are the usual ones of 12 V work, and not empty wherever the scene speaks of power.
    """

    title: str
    verdict: str
    nodes: tuple[Node, ...]
    wires: tuple[Wire, ...]
    told: tuple[Told, ...] = ()
    cautions: tuple[str, ...] = ()
    width_px: int = 900
    answer: Headline | None = None
    moves: tuple[Move, ...] = ()

    def wire_to(self, key: str) -> Wire | None:
        """The wire a node hangs on, or None for a root."""
        return next((wire for wire in self.wires if wire.below == key), None)

    @property
    def roots(self) -> tuple[Node, ...]:
        """Nodes that hang on nothing, in drawing order."""
        below = {wire.below for wire in self.wires}
        return tuple(node for node in self.nodes if node.key not in below)

    def node(self, key: str) -> Node:
        """The node with that key. Raises KeyError."""
        for node in self.nodes:
            if node.key == key:
                return node
        raise KeyError(key)


def scene_json(scene: Scene) -> dict[str, Any]:
    """The scene as one JSON object, `topo.draw.1`: title, verdict, nodes, wires, moves, answer, findings, cautions."""
    plain: dict[str, Any] = asdict(scene)
    return {
        "format": "topo.draw.1", "rig": plain["title"], "verdict": plain["verdict"],
        "answer": plain["answer"], "nodes": plain["nodes"], "wires": plain["wires"], "moves": plain["moves"],
        "findings": plain["told"], "cautions": plain["cautions"],
    }
